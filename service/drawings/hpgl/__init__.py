"""HP-GL as others write it: words, scaling and pen of a plotter, and what it draws."""

from __future__ import annotations

from service.drawings.hpgl.reader import read_hpgl

__all__ = ["read_hpgl"]
