"""Findings, and the rule book they refer to."""
