"""The order of work: what is put together when, and where the clamps go."""
