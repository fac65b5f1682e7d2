"""Readers of written files, independent of the writers, which they never import."""
