"""G-code programs as others write them."""

from __future__ import annotations

from service.drawings.gcode.reader import read_gcode

__all__ = ["read_gcode"]
