"""Kits from the JSON of their requests, without HTTP; their answers as JSON values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from service import kits
from service.kits import Bundle
from service.requests.kits import kit_request
from service.sandbox.nester import installed
from service.schemas.codec import dump
from service.schemas.context import CutterSource


@dataclass(frozen=True)
class Made:
    bundle: Bundle
    answer: dict[str, Any]

    @property
    def files(self) -> Mapping[str, bytes]:
        return self.bundle.files


def kit(body: dict[str, Any], cutters: CutterSource, **how: Any) -> Made:
    return _made(kits.kit(kit_request(body, cutters), nester=installed(), **how))


def layouts(body: dict[str, Any], cutters: CutterSource, **how: Any) -> Made:
    return _made(kits.layouts(kit_request(body, cutters), nester=installed(), **how))


def _made(bundle: Bundle) -> Made:
    return Made(bundle, dump(bundle.answer))
