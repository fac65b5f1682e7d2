"""A block drawn by hand, inspected, and its two kinds of pieces cut for four blocks."""

from __future__ import annotations

import re
from typing import Any

import pytest
import shapely
import shapely.affinity

from tests.jobs import foreign, names
from tests.jobs.studio import Studio


def block() -> str:
    """Return nine squares of 60 mm, the four at the corners halved from corner to corner."""
    rings = []
    for column in range(3):
        for row in range(3):
            x, y = 60 * column, 60 * row
            corners = [(x, y), (x + 60, y), (x + 60, y + 60), (x, y + 60)]
            if column == 1 or row == 1:
                rings.append(corners)
            elif column == row:
                rings += [corners[:2] + corners[3:], corners[1:]]
            else:
                rings += [corners[:3], [corners[0], *corners[2:]]]
    paths = "".join(f'<path d="M{" ".join(f"{x} {y}" for x, y in ring)}Z"/>' for ring in rings)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="180mm" height="180mm" '
        f'viewBox="0 0 180 180"><text x="5" y="10">shoal</text>{paths}</svg>'
    )


def piece(name: str, points: list[Any], quantity: int) -> dict[str, Any]:
    return {
        "id": name,
        "shape": {"kind": "custom", "points": points},
        "quantity": quantity,
        "seam_allowance": 6,
        "label": True,
        "match_marks": True,
        "seam_line": "mark",
        "grain": "half-turn",
    }


def test_shoal_block(studio: Studio) -> None:
    """Five squares and 4 x 2 half-square triangles: 13 outlines in two groups, the text skipped.

    Lines between neighbours are drawn twice: 12 sides of 60 mm within the grid and 4 diagonals of
    84.85. Four blocks: 20 squares and 32 triangles. Patches: 60 + 12 = 72 mm; a triangle's legs
    are 60 + 6 (2 + sqrt 2) = 80.485 mm: 3238.9 mm2. 20 x 5184 + 32 x 3239 = 207,300 of the bed's
    230,100 mm2. Templates: 20 x 3600 + 32 x 1800 = 129,600 mm2 on sheets of 85,000: two at least.
    """
    answer = studio.inspected(block(), "block.svg")
    assert answer.status_code == 200
    payload = answer.get_json()
    assert sorted(map(len, payload["groups"])) == [5, 8]
    assert not payload["overlaps"]
    assert not payload[names.OPEN_PATHS]
    doubled = sorted(each["length_mm"] for each in payload[names.DUPLICATE_LINES])
    assert doubled == pytest.approx([60.0] * 12 + [84.853] * 4, abs=0.01)
    assert [(each["element"], each["count"]) for each in payload["skipped"]] == [("text", 1)]
    kinds = {len(each["points"]): each for each in payload["outlines"]}
    assert kinds[4]["nearest"]["kind"] == "square"
    assert kinds[3]["nearest"]["kind"] == "half_square_triangle"
    kit = studio.kit(
        {
            "title": "Shoal block, 4 blocks",
            "units": "mm",
            "pieces": [piece("SQ", kinds[4]["points"], 20), piece("HST", kinds[3]["points"], 32)],
            "runs": [
                {
                    "cut": "patch",
                    "cutter": "laser-bed",
                    "gap": 1,
                    "effort": "quick",
                    "ties": {"count": 0},
                    "formats": ["dxf"],
                    "material": {"name": "cotton", "kind": "fabric"},
                }
            ],
        }
    )
    run = kit.run()
    assert run.total("SQ") == (20, 20, 0)
    assert run.total("HST") == (32, 32, 0)
    assert kit.sheet.counts("SQ", 20, 20, 0)
    assert kit.sheet.counts("HST", 32, 32, 0)
    assert kit.sheet.together("Seam allowance", "6 mm")
    areas = sorted(
        round(cell.area)
        for load in run.loads
        for _ in range(load.repeats)
        for cell in foreign.cells(
            line for line in foreign.dxf(load.file("dxf")) if line.layer == "cut"
        )
    )
    # 0.1 mm more all round: 72.2 squared; 80.485 + 0.1 (2 + sqrt 2) = 80.827 squared, halved.
    assert areas == [3266] * 32 + [5213] * 20
    for load in run.loads:
        _nothing_crosses_a_number(load.picture, run.payload, load.payload)


def _nothing_crosses_a_number(picture: str, run: Any, load: Any) -> None:
    """Check that every number in a load's picture stands clear of its piece's marks."""
    kinds = {
        number: _lines(body)
        for number, body in re.findall(r'<g id="kind-(\d+)">(.*?)</g>', picture, re.DOTALL)
    }
    uses = re.findall(
        r'<use href="#kind-(\d+)" transform="translate\(([-\d. ]+)\) rotate\(([-\d.]+)\)"/>\s*'
        r'<g transform="translate\(([-\d. ]+)\) scale\(1 -1\)">.*?font-size="([\d.]+)"[^>]*>'
        r"([^<]*)</text>",
        picture,
    )
    assert len(uses) == sum(load[names.OUTLINES].values())
    for kind, moved, turn, at, size, text in uses:
        x, y = map(float, at.split())
        wide, high = 0.31 * len(text) * float(size), 0.4 * float(size)
        number = shapely.box(x - wide, y - high, x + wide, y + high)
        lines = shapely.affinity.rotate(kinds[kind], float(turn), origin=(0, 0))
        lines = shapely.affinity.translate(lines, *map(float, moved.split()))
        assert not lines.intersects(number), (text, run["number"])


def _lines(body: str) -> Any:
    """Return the straight lines of a kind's drawing."""
    found = []
    for data in re.findall(r'<path d="([^"]*)"', body):
        for part in re.findall(r"M[^M]*", data):
            points = [
                tuple(map(float, each)) for each in re.findall(r"(-?[\d.]+)[ ,](-?[\d.]+)", part)
            ]
            if "Z" in part.upper():
                points.append(points[0])
            found.append(points)
    return shapely.MultiLineString(found)
