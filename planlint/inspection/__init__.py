"""Running the checks over plans, and what came of it."""
