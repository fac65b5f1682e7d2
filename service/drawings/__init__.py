"""Untrusted drawings: read by allow-lists, with limits checked before parsing."""
