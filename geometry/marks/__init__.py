"""Marks and holes of a piece in addition to its outline: holes, lines, arrows, letters."""
