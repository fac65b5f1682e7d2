"""Outlines on dies that a press cuts with."""
