"""The checks: each a short generator that asks a piece one question and yields what it finds."""
