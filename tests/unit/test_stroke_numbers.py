"""Numbers of strokes stand on no line and on no other number, in letters measured by Pillow."""

from __future__ import annotations

import re
from itertools import combinations
from typing import Any

import pytest
import shapely
import svgelements
from PIL import ImageFont

from service.documents.fonts import REGULAR_FILE
from service.tools.built_in import BUILT_IN
from tests import requested

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

_NUMBER = re.compile(
    r'<text transform="matrix\(1 0 0 -1 (\S+) (\S+)\)"[^>]*font-size="(\S+)"[^>]*>([^<]+)</text>'
)


def _drawn(run: dict[str, Any], pieces: list[dict[str, Any]]) -> str:
    body = {"title": "Slipway", "units": "mm", "documents": [], "pieces": pieces, "runs": [run]}
    files = requested.kit(body, BUILT_IN.get, read_back=False).files
    (name,) = [each for each in files if each.endswith("-1-path-picture.svg")]
    return files[name].decode()


def _boxes(svg: str) -> dict[str, Any]:
    """Return the box of each number's ink, mm, y up, by its text."""
    found = {}
    for x, y, size, text in _NUMBER.findall(svg):
        # At 100 units per em, so that whole pixels do not matter.
        left, top, right, bottom = ImageFont.truetype(str(REGULAR_FILE), 100).getbbox(text)
        wide, high = (
            (far - near) * float(size) / 100.0 for near, far in ((left, right), (top, bottom))
        )
        found[text] = shapely.box(
            float(x) - wide / 2, float(y) - high / 2, float(x) + wide / 2, float(y) + high / 2
        )
    return found


def _lines(svg: str) -> list[Any]:
    """Return the cuts and ways of a picture as short lines, mm, y up."""
    found = []
    for data in re.findall(r'<path d="([^"]+)" fill="none"', svg.partition("</defs>")[2]):
        for part in svgelements.Path(data):
            if isinstance(part, svgelements.Move) or part.start == part.end:
                continue
            points = [part.point(step / 8.0) for step in range(9)]
            found.append(shapely.LineString([(each.x, each.y) for each in points]))
    return found


@pytest.mark.parametrize(
    ("cutter", "piece"),
    [
        ("laser-bed", {"shape": {"kind": "square", "side": 30}, "quantity": 40}),
        (
            "drag-blade-sheet",
            {
                "shape": {"kind": "parallelogram", "base": 60, "side": 40, "angle_deg": 45},
                "quantity": 12,
            },
        ),
        ("laser-bed", {"shape": {"kind": "square", "side": 40}, "quantity": 9, "label": "Q"}),
    ],
    ids=["squares", "slanted", "labelled"],
)
def test_numbers_stand_on_no_line_and_no_number(cutter: str, piece: dict[str, Any]) -> None:
    run = {
        "cut": "template", "cutter": cutter, "formats": ["svg"], "effort": "quick",
        "material": {"name": "card", "kind": "card"},
    }  # fmt: skip
    svg = _drawn(run, [{"id": "A", **piece}])
    boxes = _boxes(svg)
    # The first is always found.
    assert "1" in boxes or "line-up" in boxes
    assert len(boxes) >= piece["quantity"] // 2
    lines = shapely.STRtree(_lines(svg))
    for text, box in boxes.items():
        assert lines.query(box, predicate="intersects").size == 0, text
    assert not any(a.intersects(b) for a, b in combinations(boxes.values(), 2))
