"""Edges that meet, so that a line is cut once for both pieces."""
