"""The time and the memory that one plan may take, and what happens once they are spent."""
