"""Who sees a pocket's mouth, and from where."""
