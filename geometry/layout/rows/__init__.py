"""Rows of one kind: the units that repeat, the patterns of stacking, and their measures."""
