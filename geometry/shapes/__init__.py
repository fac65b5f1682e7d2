"""The catalogue of shapes, and custom outlines.

All outlines are counter-clockwise and simple, have no needless vertices, and end in a line if they
have one. The origin is the centre of a regular shape, or the centre of the box of any other, so
that rotation roughly keeps a piece in place.
"""
