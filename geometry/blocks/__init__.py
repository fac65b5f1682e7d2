"""Blocks from line drawings: lines and arcs become pieces, groups of equal pieces and seams.

Lengths in mm, y up. A drawing's lines meet at nodes; what they enclose are faces, the pieces of the
block. Arcs stay arcs throughout.
"""

from __future__ import annotations
