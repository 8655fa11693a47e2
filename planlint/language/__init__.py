"""The plan language: text to a tree with positions. Grammar and user's reference lie in ``grammar/``."""
