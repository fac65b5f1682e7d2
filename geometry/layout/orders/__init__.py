"""Whole orders: every load of them, and the stages of the search."""
