"""SVG drawings, read as they look: one module each for the page, styles, transforms and shapes.

svgelements, which reads our own files back, does not read other people's drawings here. Measured:
it places nested content wrongly, is wrong by millimetres for arcs under a skew, drops the rest of
a list at the first junk, and takes seconds for hostile transforms and style sheets. Our readers
refuse junk with its place, keep circles exact as two halves, and take linear time. Tests compare
both on random transforms and shapes, where svgelements is right.

Sources:
    W3C, "Scalable Vector Graphics (SVG) 1.1 (Second Edition)", 2011; "CSS Transforms Module Level
    1", 2019; "CSS Values and Units Level 3", 6.2: a CSS pixel is 1/96 in.
"""

from __future__ import annotations

from service.drawings.svg.reader import read_svg

__all__ = ["read_svg"]
