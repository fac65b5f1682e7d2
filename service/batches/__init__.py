"""Batches: many kits from one request, counted, validated and expanded."""
