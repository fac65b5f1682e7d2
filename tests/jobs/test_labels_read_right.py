"""Labels on pieces that are turned over: the piece is mirrored, its letter is not."""

from __future__ import annotations

import copy
import json
import re
from typing import Any

import pytest

from tests.jobs.studio import Studio

#: A bed whose rim rises from the lower left corner, by 40 over 70 mm.
RIM = [[0, 0], [90, 0], [90, 50], [70, 50], [70, 40]]
BED = {"shape": "polygon", "width": 90, "height": 50, "points": RIM}
REQUEST: dict[str, Any] = {
    "title": "Pennant, turned over",
    "units": "mm",
    "pieces": [
        {
            "id": "P",
            "shape": {"kind": "custom", "points": [[0, 0], [60, 0], [0, 20]]},
            "quantity": 1,
            "mirror": True,
            "grain": [0],
            "label": "L",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {"tool": {"kind": "pen"}, "bed": BED},
            "formats": ["plan"],
        }
    ],
}
Points = list[list[float]]


def _arms(points: Points) -> tuple[float, float]:
    """Return how far an L reaches up from its corner, and to the right (negative: to the left)."""
    (ax, ay, _), (x, y, _), (cx, cy, _) = points
    return max(ay, cy) - y, (ax if abs(ay - y) < abs(cy - y) else cx) - x


def _drawn(studio: Studio, bed: Any) -> tuple[dict[str, Any], Points, Points, str]:
    """Return the placement, the letter, the outline and the load's picture."""
    body = copy.deepcopy(REQUEST)
    body["runs"][0]["cutter"]["bed"] = bed
    load = studio.kit(body).run().loads[0]
    strokes = json.loads(load.files[0].data)["strokes"]
    (letter,) = (each["points"] for each in strokes if each["part"] == "mark")
    (outline,) = (each["points"] for each in strokes if each["part"] == "outline")
    (placement,) = load.payload["placements"]
    return (
        placement,
        letter,
        outline,
        studio.client.get(load.payload["picture"]).get_data(as_text=True),
    )


def test_an_l_is_an_l_on_both_hands(studio: Studio) -> None:
    """An L has its corner at the lower left: one arm goes up from it, the other to the right.

    Mirrored with its piece, the other arm would go to the left. The piece has its right angle at
    the lower left and may not be turned. In a square bed it lies as it is. In the other bed 20 mm
    of height are free from x = 20 x 70 / 40 = 35 on, for 55 mm: less than the piece's 60. Turned
    over, its own edge rises by 20 over 60, flatter than the rim: so it lies turned over.

    The letter is 4 wide and 6 high, of one size on both hands, and inside the piece; in the load's
    picture, which mirrors the whole piece, the letter's path is mirrored beforehand.
    """
    plain, letter, _, _ = _drawn(studio, {"width": 100, "height": 100})
    assert not plain.get("mirrored")
    over, turned, outline, picture = _drawn(studio, BED)
    assert over["mirrored"] is True
    high, wide = _arms(letter)
    assert high > 0
    assert wide / high == pytest.approx(4 / 6)
    assert _arms(turned) == pytest.approx((high, wide))
    # Under the slope of the outline, which rises to the right from its sharp corner.
    left, right = min(x for x, _, _ in outline), max(x for x, _, _ in outline)
    low = min(y for _, y, _ in outline)
    for x, y, _ in turned:
        assert left < x < right
        assert low < y < low + 20 * (x - left) / 60
    paths = re.findall(r'<path d="(M[^"Z]+)" fill="none"', picture.partition("</defs>")[0])
    # The grain's arrow has other lines.
    (data,) = (each for each in paths if (each.count("M"), each.count("L")) == (1, 2))
    drawn = [[float(n) for n in place.split()] + [0.0] for place in re.split("[ML]", data)[1:]]
    assert 'scale(-1 1)"/>' in picture
    assert _arms(drawn) == pytest.approx((high, -wide), abs=1e-3)
