"""The main job, from a converted request to an answer and its files; no HTTP, no disk, no clock."""

from __future__ import annotations

from service.kits.bundle import Bundle
from service.kits.kits import kit, layouts
from service.kits.outlines import outlines
from service.kits.recuts import recut

__all__ = ["Bundle", "kit", "layouts", "outlines", "recut"]
