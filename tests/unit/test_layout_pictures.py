"""Pictures of loads: labels stay inside their pieces and are not run through by lines."""

from __future__ import annotations

import math
import re
from typing import Any

import defusedxml.ElementTree
import pytest
import shapely

from geometry.measure import flattened
from geometry.model.outline import Outline, Region
from geometry.model.transform import scaled
from geometry.separation import contains
from geometry.shapes.catalogue import CATALOGUE
from service.documents.pictures.inside import along_grain, label_size, roomy_middle
from service.documents.pictures.looks import ARROW
from service.documents.pictures.png import png
from service.tools.built_in import BUILT_IN
from tests import requested

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

SVG = "{http://www.w3.org/2000/svg}"
L_SHAPE = {"kind": "custom", "points": [[0, 0], [90, 0], [90, 15], [20, 15], [20, 60], [0, 60]]}
PIECES: list[dict[str, Any]] = [
    {"id": "L", "shape": L_SHAPE, "quantity": 9, "seam_allowance": 6, "grain": "half-turn"},
    {"id": "H", "shape": {"kind": "hexagon", "side": 25}, "quantity": 7, "seam_allowance": 6},
    {"id": "C", "shape": {"kind": "clamshell", "width": 50}, "quantity": 5, "grain": [30],
     "seam_allowance": 6},
]  # fmt: skip


def pictured(cut: str, pieces: list[dict[str, Any]], **run: Any) -> tuple[dict[str, Any], str]:
    run = {
        "cut": cut,
        "cutter": "laser-bed",
        "material": {"kind": "card"},
        "formats": ["svg"],
    } | run
    body = {"title": "Harbour <flags>", "units": "mm", "pieces": pieces, "runs": [run]}
    made = requested.layouts(body, BUILT_IN.get)
    (name,) = [name for name in made.files if name.endswith("1-picture.svg")]
    return made.answer, made.files[name].decode()


def placed(answer: dict[str, Any], part: str) -> list[shapely.Polygon]:
    outlines = {}
    for piece in answer["pieces"]:
        rows = piece[part]["outline"]
        # Arcs as many chords: a label may stand near one.
        points = [tuple(each) for each in flattened(Outline.of([(*row,) for row in rows]), 0.02)]
        outlines[piece["id"]] = shapely.Polygon(points)
    found = []
    for place in answer["runs"][0]["loads"][0]["placements"]:
        polygon = shapely.affinity.rotate(outlines[place["piece"]], place["turn_deg"], (0, 0))
        found.append(shapely.affinity.translate(polygon, place["x_mm"], place["y_mm"]))
    return found


def labels(svg: str) -> list[tuple[str, float, float, float, bool]]:
    """Return text, place, letter size and whether the piece's colour lies under it."""
    found = []
    for group in defusedxml.ElementTree.fromstring(svg).iter(f"{SVG}g"):
        text = group.find(f"{SVG}text")
        at = re.match(r"translate\((\S+) (\S+)\) scale\(1 -1\)$", group.get("transform") or "")
        if text is not None and at is not None and ": " not in str(text.text):
            size = float(text.get("font-size") or 0)
            under = group.find(f"{SVG}rect") is not None
            found.append((str(text.text), float(at[1]), float(at[2]), size, under))
    return found


@pytest.mark.parametrize("cut", ["template", "patch"])
def test_labels_stay_inside_their_pieces(cut: str) -> None:
    answer, svg = pictured(cut, PIECES)
    pieces = placed(answer, "template")
    found = labels(svg)
    assert len(found) == len(pieces) == 21
    for (text, x, y, size, under), piece in zip(found, pieces, strict=True):
        wide, high = 0.6 * size * len(text), 0.72 * size
        box = shapely.box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
        assert piece.covers(box), text
        # An arrow keeps out of its way, so that nothing has to be covered.
        assert not under
    assert "Harbour &lt;flags&gt;" in svg


def test_numbers_below_a_mark_stay_inside_their_pieces() -> None:
    """The number stands below the written id; in a triangle there is little room below."""
    tip = {"kind": "custom", "points": [[0, 0], [50, 25], [0, 50]]}
    pieces = [
        {"id": "east-tip", "shape": tip, "quantity": 12, "label": True, "grain": "half-turn"},
        {"id": "sq", "shape": {"kind": "square", "side": 40}, "quantity": 4, "label": True},
    ]
    answer, svg = pictured("template", pieces)
    found = labels(svg)
    assert len(found) == 16
    for (text, x, y, size, _), piece in zip(found, placed(answer, "template"), strict=True):
        wide, high = 0.6 * size * len(text), 0.72 * size
        assert piece.covers(shapely.box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2))


@pytest.mark.parametrize("kind", sorted(CATALOGUE))
def test_every_shape_has_a_place_for_its_label_and_its_arrow(kind: str) -> None:
    outline = scaled(CATALOGUE[kind].build(CATALOGUE[kind].unit), 40.0)
    middle, reach = roomy_middle(outline)
    assert contains(outline, middle)
    assert label_size(outline, "A 1", 7.0) > 0.9
    lines = along_grain(Region(outline), outline, middle)
    assert lines
    for low, high in lines:
        assert low.x == high.x == middle.x
        assert contains(outline, low)
        assert contains(outline, high)
    assert max(high.y for _, high in lines) - min(low.y for low, _ in lines) > reach


def test_an_arrow_is_broken_by_a_removal_hole() -> None:
    piece = {"id": "D", "shape": {"kind": "diamond_60", "side": 60}, "quantity": 3,
             "removal_hole": True, "grain": "fixed"}  # fmt: skip
    answer, svg = pictured("template", [piece])
    # The last line of the kind that is drawn at every placement.
    (arrow,) = re.findall(rf'<path d="([^"]*)" {re.escape(ARROW.svg())}/></g>', svg)
    lines = [
        shapely.LineString([(float(a), float(b)), (float(c), float(d))])
        for a, b, c, d in re.findall(r"M(\S+) (\S+?)L(\S+) ([^LM]+)", arrow)
    ]
    rows = answer["pieces"][0]["template"]
    (x, y, _), (x1, y1, _) = rows["holes"][0]
    hole = shapely.Point((x + x1) / 2, (y + y1) / 2).buffer(math.dist((x, y), (x1, y1)) / 2)
    outline = shapely.Polygon([row[:2] for row in rows["outline"]])
    assert len(lines) >= 2
    assert all(outline.covers(line) for line in lines)
    assert not any(line.intersects(hole) for line in lines)


def test_every_ground_is_drawn_and_becomes_a_png() -> None:
    _, svg = pictured(
        "patch",
        PIECES[:2],
        material={"kind": "fabric", "name": "blue cotton", "width": 400, "height": 300},
    )
    assert "Work area 398 mm" in svg
    assert "blue cotton on Laser over a bed" in svg
    assert "left over, worth keeping: " in svg
    assert png(svg).startswith(b"\x89PNG")


def test_a_middle_is_where_there_is_room() -> None:
    outline = Outline.of([(0, 0), (90, 0), (90, 15), (20, 15), (20, 60), (0, 60)])
    middle, reach = roomy_middle(outline)
    assert reach == pytest.approx(10.0, abs=0.2) or reach > 9.5
    (line,) = along_grain(Region(outline), outline, middle)
    assert line[1].y - line[0].y > 6.0
