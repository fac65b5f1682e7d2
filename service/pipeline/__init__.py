"""The main job, from a converted request to an answer and its files; no HTTP, no disk, no clock."""

from __future__ import annotations

from service.pipeline.bundle import Bundle
from service.pipeline.kits import kit, layouts
from service.pipeline.outlines import outlines
from service.pipeline.recuts import recut

__all__ = ["Bundle", "kit", "layouts", "outlines", "recut"]
