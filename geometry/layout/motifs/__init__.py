"""Pieces on the motifs of a printed cloth."""
