"""Each block of the gallery from its drawing to a kit: all that is promised of a drawn block.

Pieces, groups and areas are worked by hand in ``tests/block_drawings.py``. Places, seams and the
order of sewing are measured here by shapely, from the points of the answer alone.
"""

from __future__ import annotations

import itertools
import math
import re
from collections import Counter
from typing import Any

import pypdfium2
import pytest
import shapely
from flask.testing import FlaskClient
from shapely import affinity

from geometry.blocks.gallery import GALLERY
from tests.block_drawings import KNOWN
from tests.short_form import short_form

#: What is rounding, mm, and mm2 for each mm of an edge.
NEAR = 2.0e-3
#: The block whose kit is made as the answer gives it.
AS_IT_IS = "nine-patch"
#: Squares, triangles of two sizes, strips about a middle, arcs, and what takes several sections.
SHORT = {AS_IT_IS, "pinwheel", "ohio-star", "log-cabin", "fan", "bear-paw"}
Json = dict[str, Any]


@pytest.fixture(autouse=True)
def _here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Compute in this process, so that the tests take little time."""
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)


@pytest.fixture(scope="module", params=short_form(GALLERY, SHORT))
def drawn(request: pytest.FixtureRequest, app: Any) -> tuple[str, Json]:
    """Return a block's name and its answer at 6 in."""
    name = request.param
    answer = app.test_client().post("/v1/blocks", json={"block": name, "finished_width": "6 in"})
    assert answer.status_code == 200, answer.get_data(as_text=True)
    return name, answer.get_json()


def places(rows: list[list[float]]) -> list[complex]:
    """Return a ring's points, its arcs in chords of half a degree.

    Source:
        The bulge is the tangent of a quarter of the sweep (DXF reference, LWPOLYLINE, group 42).
    """
    found: list[complex] = []
    for (x, y, bulge), (to_x, to_y, _) in itertools.pairwise([*rows, rows[0]]):
        first, last = complex(x, y), complex(to_x, to_y)
        found.append(first)
        if bulge:
            sweep = 4.0 * math.atan(bulge)
            centre = (first + last) / 2.0 + 0.5j * (last - first) / math.tan(sweep / 2.0)
            count = math.ceil(abs(sweep) / math.radians(0.5))
            for k in range(1, count):
                turn = sweep * k / count
                arm = complex(math.cos(turn), math.sin(turn))
                found.append(centre + (first - centre) * arm)
    return found


def polygon(rows: list[list[float]]) -> shapely.Polygon:
    return shapely.Polygon([(place.real, place.imag) for place in places(rows)])


def length(rows: list[list[float]]) -> float:
    """Return the length of a ring, its arcs exactly."""
    total = 0.0
    for (x, y, bulge), (to_x, to_y, _) in itertools.pairwise([*rows, rows[0]]):
        half = 2.0 * math.atan(bulge)
        total += math.dist((x, y), (to_x, to_y)) * (half / math.sin(half) if half else 1.0)
    return total


def test_pieces_groups_and_areas(drawn: tuple[str, Json]) -> None:
    name, answer = drawn
    whole = math.fsum(count * size for count, size in KNOWN[name])
    unit = answer["area_mm2"] / whole
    wanted = sorted((count, round(size * unit, 3)) for count, size in KNOWN[name])
    groups = [(each["quantity"], round(each["area_mm2"], 3)) for each in answer["groups"]]
    for found, known in zip(sorted(groups), wanted, strict=True):
        assert found == pytest.approx(known, abs=0.002)
    letters = Counter(piece["letter"] for piece in answer["pieces"])
    assert letters == {each["letter"]: each["quantity"] for each in answer["groups"]}
    areas = math.fsum(piece["area_mm2"] for piece in answer["pieces"])
    assert areas == pytest.approx(answer["area_mm2"], rel=1e-6)
    assert answer["width_mm"] == pytest.approx(152.4)


def test_templates_cover_the_drawing_once(drawn: tuple[str, Json]) -> None:
    _, answer = drawn
    shapes = {each["letter"]: polygon(each["points"]) for each in answer["groups"]}
    laid = []
    for piece in answer["pieces"]:
        move = piece["template"]
        turned = affinity.rotate(shapes[piece["letter"]], move["turn_deg"], origin=(0, 0))
        laid.append(affinity.translate(turned, move["x_mm"], move["y_mm"]))
        off = laid[-1].symmetric_difference(polygon(piece["points"])).area
        assert off < NEAR * laid[-1].length
    block = polygon(answer["outline"])
    together = shapely.union_all(laid, grid_size=1e-5)
    assert together.symmetric_difference(block).area < NEAR * block.length
    # Nothing is covered twice.
    assert math.fsum(each.area for each in laid) == pytest.approx(together.area, rel=1e-4)


def test_edges_that_meet_are_matched(drawn: tuple[str, Json]) -> None:
    """Each edge is the block's or a seam of two pieces: all edges are outline + 2 x seams."""
    _, answer = drawn
    assert answer["repairs"] == answer["mismatches"] == []
    edges = math.fsum(
        length(ring) for piece in answer["pieces"] for ring in (piece["points"], *piece["holes"])
    )
    seams = math.fsum(each["length_mm"] for each in answer["seams"])
    assert edges == pytest.approx(length(answer["outline"]) + 2.0 * seams, abs=0.05)
    shapes = {piece["name"]: polygon(piece["points"]) for piece in answer["pieces"]}
    for seam in answer["seams"]:
        one, other = (shapes[name] for name in seam["pieces"])
        assert one.distance(other) < NEAR


def test_pieces_can_be_sewn_in_the_order(drawn: tuple[str, Json]) -> None:
    """On a foundation each piece is sewn by one straight line, all before on one side of it."""
    _, answer = drawn
    sewing = answer["sewing"]
    shapes = {piece["name"]: polygon(piece["points"]) for piece in answer["pieces"]}
    named = [name for section in sewing["sections"] for name in section["pieces"]]
    assert sorted(named) == sorted(shapes)
    for section in sewing["sections"]:
        sewn = shapes[section["pieces"][0]]
        for name in section["pieces"][1:]:
            seam = shapes[name].boundary.intersection(sewn.buffer(NEAR))
            ends = shapely.get_coordinates(seam)
            assert len(ends) > 1, (section["number"], name)
            line = shapely.LineString(
                max(itertools.combinations(ends, 2), key=lambda e: math.dist(*e))
            )
            assert line.length > 1.0, (section["number"], name)
            assert all(line.distance(shapely.Point(place)) < 2 * NEAR for place in ends)
            (ax, ay), (bx, by) = line.coords
            sides = [
                ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / line.length
                for x, y in shapely.get_coordinates(sewn)
            ]
            assert min(sides) > -3 * NEAR or max(sides) < 3 * NEAR, (section["number"], name)
            sewn = shapely.union_all([sewn, shapes[name]], grid_size=1e-5)
    # Joins bring all sections together.
    together = [{number} for number in range(1, len(sewing["sections"]) + 1)]
    for join in sewing["joins"]:
        parts = set(join["sections"]) | set(join["to_sections"])
        joined = set().union(*(each for each in together if each & parts))
        together = [each for each in together if not each & parts] + [joined]
    assert len(together) == 1
    assert len(sewing["sections"]) >= sewing["min_sections"]
    assert sewing["is_one_foundation"] == (len(sewing["sections"]) == 1)


def test_its_pages(drawn: tuple[str, Json], client: FlaskClient) -> None:
    name, answer = drawn
    body = {"block": name, "finished_width": "6 in", "seam_allowance": "1/4 in"}
    pages = client.post("/v1/blocks", json=body, headers={"Accept": "application/pdf"})
    assert pages.status_code == 200
    texts = [
        " ".join(page.get_textpage().get_text_range().split())
        for page in pypdfium2.PdfDocument(pages.data)
    ]
    words = " ".join(texts)
    for heading in ("Pieces with their allowances", "Templates at finished size", "How the block"):
        assert heading in words
    # Small foundations share a page.
    found = re.findall(r"Foundations? of sections? ([\d, ]+), mirrored", words)
    printed = {int(number) for numbers in found for number in numbers.split(",")}
    sections = answer["sewing"]["sections"]
    assert printed == {each["number"] for each in sections if len(each["pieces"]) > 1}
    for piece in answer["pieces"]:
        assert piece["name"] in words


def test_its_kit_is_made(drawn: tuple[str, Json], client: FlaskClient) -> None:
    """Every piece is cut from the fabric that its drawing names.

    One kit is made as it is; the others are laid out quickly, which changes no count.
    """
    name, answer = drawn
    kit = answer["kit"]
    if name != AS_IT_IS:
        kit = {**kit, "runs": [{**run, "effort": "quick"} for run in kit["runs"]]}
    made = client.post("/v1/kits", json=kit)
    assert made.status_code == 201, made.get_data(as_text=True)
    totals: Counter[str] = Counter()
    for run in made.get_json()["runs"]:
        if run["cut"] == "patch":
            for piece, total in run["totals"].items():
                totals[piece] += total["made"] - total["spare"]
    assert totals == {each["letter"]: each["quantity"] for each in answer["groups"]}
