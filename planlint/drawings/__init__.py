"""Drawings of a piece, its parts, its findings and its order of work: what the geometry is, never a second opinion."""
