"""Exact offsets of outlines by the seam allowance.

Three steps, one module each: ``raw`` moves every edge and treats every corner, ``slices`` splits
the result where it crosses itself and selects the stretches that bound it, ``stitch`` joins those.
"""
