"""Rows in beds that are no rectangles."""
