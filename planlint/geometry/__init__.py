"""Bodies in space: what is left of each part, where parts touch, bores and screws, sight."""
