"""Quilt planning: tilings, counts, fabric, paper, backing, binding.

Lengths in mm, y up: the sides of a quilt are its left and right edges, its ends the lower and
upper ones.
"""
