"""What a shop brings to its plans, read from ``planlint.toml`` at the root of a collection."""
