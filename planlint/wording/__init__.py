"""What findings say, made from their facts: one place for the words, a module for each family of checks."""
