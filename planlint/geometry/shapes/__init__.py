"""Solids, what is left of them, where they touch and run into one another."""
