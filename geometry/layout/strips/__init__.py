"""Strips along a side of a sheet: the lowest and the shortest that hold so many pieces."""
