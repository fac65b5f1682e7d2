"""Kinds whose sides fit one grid, laid on its cells."""
