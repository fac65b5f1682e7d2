"""Drawings written by nine libraries and in the manner of editors measure as their makers state."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import pytest

from geometry.measure import area
from geometry.model.outline import Outline, Vertex
from geometry.shapes.curves import TOLERANCE
from service.drawings.inspect import inspect_file
from service.requests.inspections import InspectionRequest
from tests.foreign import other_makers, svg_makers
from tests.foreign.parts import Drawing

DRAWINGS = {**dict(svg_makers.drawings()), **dict(other_makers.drawings())}


def inspected(data: bytes, units: str | None) -> Any:
    return asdict(inspect_file(data, InspectionRequest(None, units, "", TOLERANCE, ""), None))


def measures(outline: Any) -> tuple[float, ...]:
    """Return left, bottom, right, top and area of an outline of an answer."""
    shape = Outline(tuple(Vertex(*row) for row in outline["points"]))
    return (*shape.bounds, area(shape))


def in_order(found: list[tuple[float, ...]], *, is_floating: bool) -> list[list[float]]:
    """Return measures by place; those that float relative to the lower left corner of all."""
    left = min(each[0] for each in found) if is_floating else 0.0
    bottom = min(each[1] for each in found) if is_floating else 0.0
    rows = [[a - left, b - bottom, c - left, d - bottom, e] for a, b, c, d, e in found]
    return sorted(rows, key=lambda row: (-round(row[4]), row[0]))


def check(drawing: Drawing) -> None:
    """Compare what is read with what the maker states."""
    payload = inspected(drawing.make(), drawing.units)
    found = in_order(
        [measures(each) for each in payload["outlines"]], is_floating=drawing.is_floating
    )
    stated = in_order([part.measures() for part in drawing.parts], is_floating=drawing.is_floating)
    assert len(found) == len(stated), (len(found), payload["skipped"], payload["warnings"])
    for row, wanted in zip(found, stated, strict=True):
        assert row[:4] == pytest.approx(wanted[:4], abs=drawing.within)
        around = 2.0 * (wanted[2] - wanted[0] + wanted[3] - wanted[1])
        assert row[4] == pytest.approx(wanted[4], abs=drawing.within * around)
    assert payload["open_paths"] == []


@pytest.mark.parametrize("name", DRAWINGS)
def test_it_measures_as_its_maker_states(name: str) -> None:
    check(DRAWINGS[name])


def test_there_are_eighty_at_least() -> None:
    assert len(DRAWINGS) >= 80
    assert len({name.split()[0] for name in DRAWINGS}) >= 6
