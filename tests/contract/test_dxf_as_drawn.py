"""DXF drawings are read as they look: blocks, layers, extrusions, units, sheets.

Written with ezdxf; places and sizes are worked by hand from the DXF reference.
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Callable
from typing import Any

import pytest
from ezdxf import filemanagement as ezdxf

from geometry.measure import area
from geometry.model.outline import Outline
from geometry.shapes.curves import TOLERANCE
from service.drawings.drawing import Drawing, DrawingError
from service.drawings.dxf import read_dxf


def made(unit: int = 4, version: str = "R2000") -> Any:
    document = ezdxf.new(version, setup=False)
    document.header["$INSUNITS"] = unit
    return document


def data_of(document: Any) -> bytes:
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def read(document: Any, units: str | None = None) -> Drawing:
    return read_dxf(data_of(document), units=units, tolerance=TOLERANCE)


def box(drawing: Drawing) -> tuple[float, float, float, float]:
    xs = [v.x for path in drawing.paths for v in path.vertices]
    ys = [v.y for path in drawing.paths for v in path.vertices]
    return min(xs), min(ys), max(xs), max(ys)


def with_block() -> tuple[Any, Any]:
    """Return a document with a block K: a rectangle of 30 by 10 whose base point is (1, 2)."""
    document = made()
    block = document.blocks.new("K", base_point=(1, 2))
    block.add_lwpolyline([(1, 2), (31, 2), (31, 12), (1, 12)], close=True)
    return document, block


@pytest.mark.parametrize(
    ("attributes", "expected"),
    [
        ({}, (100, 50, 130, 60)),
        ({"rotation": 90}, (90, 50, 100, 80)),
        ({"xscale": 2, "yscale": 2}, (100, 50, 160, 70)),
        ({"xscale": -1}, (70, 50, 100, 60)),
        ({"xscale": 2, "yscale": 0.5, "rotation": 90}, (95, 50, 100, 110)),
        ({"column_count": 3, "column_spacing": 40, "row_count": 2, "row_spacing": 15},
         (100, 50, 210, 75)),
    ],
)  # fmt: skip
def test_blocks_are_read_where_they_are_inserted(
    attributes: dict[str, Any], expected: tuple[float, ...]
) -> None:
    document, _ = with_block()
    document.modelspace().add_blockref("K", (100, 50), dxfattribs=attributes)
    drawing = read(document)
    assert box(drawing) == pytest.approx(expected)
    assert len(drawing.paths) == attributes.get("column_count", 1) * attributes.get("row_count", 1)
    assert all(path.closed and path.name == "K" for path in drawing.paths)


def test_blocks_of_blocks_and_circles_of_unequal_scales() -> None:
    """A circle of radius 5 at (10, 0) of a block, at twice the width: an ellipse of 20 by 10."""
    document, block = with_block()
    block.add_circle((11, 2), 5)
    outer = document.blocks.new("L")
    outer.add_blockref("K", (0, 0), dxfattribs={"xscale": 2})
    document.modelspace().add_blockref("L", (100, 50), dxfattribs={"layer": "CUT"})
    drawing = read(document)
    rectangle, ellipse = drawing.paths
    assert {path.group for path in drawing.paths} == {"CUT"}
    assert max(v.x for v in rectangle.vertices) == pytest.approx(160)
    assert area(Outline(ellipse.vertices)) == pytest.approx(math.pi * 10 * 5, rel=3e-3)
    assert sum(v.x for v in ellipse.vertices) / len(ellipse.vertices) == pytest.approx(120, abs=1)


def test_layers_of_blocks_hide_as_they_do_on_screen() -> None:
    """Frozen hides a block whole; off hides what is drawn on that layer, layer 0 included."""
    document, block = with_block()
    block.add_circle((5, 5), 1, dxfattribs={"layer": "HOLES"})
    block.add_circle((9, 5), 2, dxfattribs={"layer": "OLD"})
    document.layers.add("HOLES")
    document.layers.add("OLD").freeze()
    document.layers.add("OFF").off()
    space = document.modelspace()
    space.add_blockref("K", (0, 0), dxfattribs={"layer": "OLD"})
    space.add_blockref("K", (50, 0), dxfattribs={"layer": "OFF"})
    drawing = read(document)
    assert [path.group for path in drawing.paths] == ["HOLES"]
    assert {each.element: each.count for each in drawing.skipped} == {
        "INSERT (layer OLD is frozen)": 1,
        "LWPOLYLINE (layer OFF is off)": 1,
        "CIRCLE (layer OLD is frozen)": 1,
    }


def itself(document: Any) -> None:
    document.blocks.new("A").add_blockref("A", (0, 0))
    document.modelspace().add_blockref("A", (0, 0))


def without_end(document: Any) -> None:
    names = [f"B{k}" for k in range(8)]
    document.blocks.new(names[0]).add_circle((0, 0), 1)
    for inner, outer in itertools.pairwise(names):
        block = document.blocks.new(outer)
        for k in range(10):
            block.add_blockref(inner, (k, 0))
    document.modelspace().add_blockref(names[-1], (0, 0))


def rows_of_nothing(document: Any) -> None:
    document.blocks.new("E")
    rows = {"column_count": 30_000, "row_count": 30_000, "column_spacing": 1, "row_spacing": 1}
    document.modelspace().add_blockref("E", (0, 0), dxfattribs=rows)


def another_file(document: Any) -> None:
    document.add_xref_def("../other.dxf", "X")
    document.modelspace().add_blockref("X", (0, 0))


def tilted(document: Any) -> None:
    document.modelspace().add_circle((0, 0), 5, dxfattribs={"extrusion": (0, 1, 0)})


def not_flat(document: Any) -> None:
    document.modelspace().add_polyline3d([(0, 0, 0), (10, 0, 5), (10, 10, 0)])


def rising_axis(document: Any) -> None:
    document.modelspace().add_ellipse((0, 0, 0), (10, 0, 3), 0.5)


@pytest.mark.parametrize(
    ("draw", "word"),
    [
        (itself, "nested deeper"),
        (without_end, "entities, copies included"),
        (rows_of_nothing, "entities, copies included"),
        (another_file, "reference to another file"),
        (tilted, "tilted"),
        (not_flat, "not flat"),
        (rising_axis, "not flat|tilted"),
    ],
)
def test_what_cannot_be_read_is_refused_by_name(draw: Callable[[Any], None], word: str) -> None:
    document = made()
    draw(document)
    with pytest.raises(DrawingError, match=word):
        read(document)


def test_a_block_that_is_missing_is_named() -> None:
    text = data_of(made()).decode()
    text = text.replace("ENTITIES\n", "ENTITIES\n  0\nINSERT\n  8\n0\n  2\nGONE\n 10\n0\n 20\n0\n")
    with pytest.raises(DrawingError, match="GONE"):
        read_dxf(text.encode(), units=None, tolerance=TOLERANCE)


def test_seen_from_below_is_mirrored() -> None:
    """An extrusion of (0, 0, -1): x counts to the left, so that the arc of 0 to 90 degrees about
    (10, 20) is about (-10, 20), from (-15, 20) to (-10, 25)."""
    document = made()
    below = {"extrusion": (0, 0, -1)}
    document.modelspace().add_arc((10, 20), 5, 0, 90, dxfattribs=below)
    document.modelspace().add_lwpolyline([(1, 0), (4, 0), (4, 2)], close=True, dxfattribs=below)
    triangle, arc = sorted(read(document).paths, key=lambda path: not path.closed)
    assert arc.vertices[0][:2] == pytest.approx((-15, 20))
    assert arc.vertices[-1][:2] == pytest.approx((-10, 25))
    assert arc.vertices[0].bulge == pytest.approx(-math.tan(math.pi / 8))
    assert sorted(v.x for v in triangle.vertices) == pytest.approx([-4, -4, -1])


@pytest.mark.parametrize(("unit", "mm"), [(1, 25.4), (2, 304.8), (4, 1), (5, 10), (6, 1000)])
def test_the_files_own_unit_wins(unit: int, mm: float) -> None:
    document = made(unit)
    document.modelspace().add_line((0, 0), (3, 0))
    for stated in (None, "cm"):
        drawing = read(document, stated)
        assert box(drawing)[2] == pytest.approx(3 * mm)
        assert bool(drawing.notes) == (stated is not None and mm != 10)


def test_sheets_and_fills_are_listed() -> None:
    document = made()
    document.layout("Layout1").add_line((0, 0), (5, 5))
    hatch = document.modelspace().add_hatch()
    hatch.paths.add_polyline_path([(0, 0), (5, 0), (5, 5)], is_closed=True)
    drawing = read(document)
    assert drawing.paths == ()
    assert {each.element for each in drawing.skipped} == {
        "HATCH (a fill)",
        "LINE (on a sheet, not in the model)",
    }


def test_flat_polylines_of_three_axes_are_read() -> None:
    document = made()
    document.modelspace().add_polyline3d([(0, 0), (10, 0), (10, 10)], close=True)
    (path,) = read(document).paths
    assert path.closed
    assert len(path.vertices) == 3
