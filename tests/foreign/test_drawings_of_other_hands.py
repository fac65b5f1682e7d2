"""Drawings written by nine libraries and in the manner of editors measure as their makers state."""

from __future__ import annotations

import re
from dataclasses import asdict
from typing import Any

import pytest

from geometry.measure import area
from geometry.model.outline import Outline, Vertex
from geometry.shapes.curves import TOLERANCE
from service.drawings.inspect import inspect_file
from service.errors import DrawingRefusedError
from service.requests.inspections import InspectionRequest
from tests.foreign import further_features, other_makers, svg_makers
from tests.foreign.parts import Drawing

DRAWINGS = {
    **dict(svg_makers.drawings()),
    **dict(other_makers.drawings()),
    **dict(further_features.drawings()),
}
REFUSED = {name: (make, word) for name, make, word in further_features.refused()}


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


@pytest.mark.parametrize("name", REFUSED)
def test_a_refusal_names_the_feature(name: str) -> None:
    make, word = REFUSED[name]
    with pytest.raises(DrawingRefusedError, match=re.escape(word)):
        inspected(make(), None)


def test_eighty_are_measured_and_at_most_eight_refused() -> None:
    """Of six libraries and more; each is tried here, whatever list it stands in."""
    makers = {name: drawing.make for name, drawing in DRAWINGS.items()}
    makers |= {name: make for name, (make, _) in REFUSED.items()}
    read, not_read = [], []
    for name, make in makers.items():
        units = DRAWINGS[name].units if name in DRAWINGS else None
        try:
            found = inspected(make(), units)
        except DrawingRefusedError:
            not_read.append(name)
        else:
            read += [name] * bool(found["outlines"])
    assert len(read) >= 80
    libraries = {"matplotlib", "cairo", "ezdxf", "gdal", "svgwrite", "svgpathtools", "reportlab"}
    assert libraries | {"editor"} <= {name.split()[0] for name in read}
    assert sorted(not_read) == sorted(REFUSED)
    assert len(not_read) <= 8
    assert len(read) + len(not_read) == len(makers)
