"""Kits from the JSON of their requests, without HTTP."""

from __future__ import annotations

from typing import Any

from service import kits
from service.kits import Bundle
from service.requests.kits import kit_request
from service.sandbox.nester import installed
from service.schemas.context import CutterSource


def kit(body: dict[str, Any], cutters: CutterSource, **how: Any) -> Bundle:
    return kits.kit(kit_request(body, cutters), nester=installed(), **how)


def layouts(body: dict[str, Any], cutters: CutterSource, **how: Any) -> Bundle:
    return kits.layouts(kit_request(body, cutters), nester=installed(), **how)
