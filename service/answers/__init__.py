"""Schemas of the service's answers."""
