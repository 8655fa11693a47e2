"""Repairs: edits of a plan's text that take a finding away, and the proof that they do."""
