"""Tests, and what several of them share."""
