"""Columns of a few kinds, and the least length of them that holds any numbers of each."""
