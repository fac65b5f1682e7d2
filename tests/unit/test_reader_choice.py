"""Whose reader reads the files of a format."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from adapters import readback, registry

ADAPTER_OF = registry.get
OURS = {"svg": "svg", "dxf": "dxf", "hpgl": "hpgl", "gcode": "gcode", "pdf": "pdf", "plan": "plan"}
PLUG_INS: dict[str, Any] = {
    "reads": SimpleNamespace(extension="svg", read=lambda *_: []),
    "ours": SimpleNamespace(extension="dxf"),
    "capital": SimpleNamespace(extension="DXF"),
    "none": SimpleNamespace(extension="xyz"),
    "constant": SimpleNamespace(extension="xyz", read=True),
}


@pytest.mark.parametrize(
    ("name", "reader"),
    [
        *OURS.items(),
        ("reads", "reads"),
        ("ours", "dxf"),
        ("capital", "dxf"),
        ("none", None),
        ("constant", None),
    ],
)
def test_a_format_s_own_reader_or_ours_for_its_extension(
    name: str, reader: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(registry, "get", lambda name: PLUG_INS.get(name) or ADAPTER_OF(name))
    assert readback._reader_of(name) == reader
    assert readback.is_proved(name) == (reader is not None)
