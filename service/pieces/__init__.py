"""Pieces drawn: templates, patches, their marks, and the allowance between them."""
