"""Pieces on roll stock."""
