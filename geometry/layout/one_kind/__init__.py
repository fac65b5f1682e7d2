"""Loads of one kind: full ones, and how the last ones share what is left."""
