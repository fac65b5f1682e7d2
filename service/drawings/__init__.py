"""Drawings that strangers send: read by allow-lists, bounded before they are parsed."""
