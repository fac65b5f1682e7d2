"""Diamonds and the like cut from strips with a ruler: at which angle, and how far apart."""

from __future__ import annotations

from typing import Any

from tests.jobs.studio import Studio

_QUARTER = "1/4"


def _cutting(studio: Studio, **piece: Any) -> str:
    """Return the instructions for one piece, from fabric 42 in wide."""
    answer = studio.client.post(
        "/v1/yardage",
        json={
            "units": "in",
            "pieces": [{"id": "P", "seam_allowance": _QUARTER, **piece}],
            "fabric": {"width": "42"},
        },
    )
    assert answer.status_code == 200
    (fabric,) = answer.get_json()["fabrics"]
    return " ".join(fabric["cutting"]["instructions"])


def test_diamonds_of_60_degrees(studio: Studio) -> None:
    """Across its sides a diamond of 2 1/2 in is 2.16506 in, cut 2.66506: 2 11/16 by the ruler.

    Strips and cuts are as far apart, for its sides are equal. Along the strip that is
    2.6875 / sin 60 = 3.1033, and the last one leans 2.6875 / tan 60 = 1.5516 in:
    13 x 3.1033 + 1.5516 = 41.89 in of 42. Sixty take five strips.
    """
    text = _cutting(
        studio, shape={"kind": "diamond_60", "side": "2 1/2"}, quantity=60, grain="free"
    )
    assert "5 strips 2 11/16 in" in text
    assert "60 degrees" in text
    assert "2 11/16 in apart" in text
    assert "13 to a strip" in text


def test_diamonds_of_a_star_of_five_points(studio: Studio) -> None:
    """Angles of 72 degrees: 3 sin 72 + 1/2 = 3.3532 in across, 3 3/8 by the ruler.

    3.375 / sin 72 = 3.5487 along the strip, 3.375 / tan 72 = 1.0966 for the lean:
    11 x 3.5487 + 1.0966 = 40.13 in. 25 take three strips.
    """
    text = _cutting(
        studio, shape={"kind": "star_diamond", "points": 5, "side": "3"}, quantity=25, grain="free"
    )
    assert "3 strips 3 3/8 in" in text
    assert "72 degrees" in text
    assert "3 3/8 in apart" in text
    assert "11 to a strip" in text


def test_half_hexagons_lean_both_ways(studio: Studio) -> None:
    """A half hexagon of 2 in is 1.73205 high, cut 2.23205: strips of 2 1/4 in.

    Its long side is 4 + 2 x 1/4 / tan 30 = 4.8660 in, in the strip 2.25 / 2.23205 times that:
    4.9052, about 4 7/8. The slanted sides stand at 60 degrees, one way and the other.
    """
    text = _cutting(studio, shape={"kind": "half_hexagon", "side": "2"}, quantity=50)
    assert "5 strips 2 1/4 in" in text
    assert "60 degrees" in text
    assert "4 7/8 in" in text
    assert "11 to a strip" in text


def test_squares_are_not_slanted(studio: Studio) -> None:
    text = _cutting(studio, shape={"kind": "square", "side": "3"}, quantity=20)
    assert "degrees" not in text
