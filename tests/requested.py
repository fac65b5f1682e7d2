"""Kits from the JSON of their requests, without HTTP; their answers as JSON values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pytest

from service import kits
from service.documents.model import RunSheet
from service.kits import Bundle
from service.kits.sheet import sheet_of
from service.requests.kits import kit_request
from service.schemas.codec import dump
from service.schemas.context import CutterSource
from service.tools.built_in import BUILT_IN
from tests.without_nester import installed


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


def run_sheet(body: dict[str, Any], **how: Any) -> tuple[RunSheet, Made]:
    """Return the run sheet of a kit with built-in cutters, as its documents are made of it."""
    found: list[RunSheet] = []

    def kept(*args: Any) -> RunSheet:
        found.append(sheet_of(*args))
        return found[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("service.kits.sheet.sheet_of", kept)
        made = kit(body, BUILT_IN.get, read_back=False, **how)
    return found[0], made


def _made(bundle: Bundle) -> Made:
    return Made(bundle, dump(bundle.answer))
