"""The catalogue of shapes and outlines of one's own.

Every outline handed out is counter-clockwise, simple, has no more vertices than its lines and
arcs need, and ends in a line when it has one. Its origin is the centre of a regular shape and
the centre of the box of any other, so that turning a piece keeps it about in place.
"""
