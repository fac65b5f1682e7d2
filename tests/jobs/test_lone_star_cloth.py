"""A star of 15 rounds in 17 fabrics: each is laid out, and equal ones once."""

from __future__ import annotations

import pytest

from geometry.layout import lay_out
from geometry.planning import cloth_layout
from geometry.planning.cloth import Cut, Fabric
from tests.jobs.studio import Studio

INCH = 25.4


def test_every_fabric_of_a_star_is_laid_out(studio: Studio) -> None:
    """A star of 8 points, 8 diamonds of 3 1/2 in along an edge.

    Round k has 8 k diamonds up to 64 in the eighth, then 56 down to 8: 9 to a strip of 3 in on
    42 in, so 8, 16, 24 ... take 1, 2, 3, 4, 5, 6, 7, 8 strips.
    """
    body = {
        "units": "in",
        "tiling": "lone_star",
        "side": "3 1/2",
        "diamonds": 8,
        "quilt": {"width": "90", "length": "90"},
        "fabric": {"width": "42"},
    }
    fabrics = studio.calculated("/v1/quilt-plans", body)["materials"]["fabrics"]
    assert all({"rows", "layout"} == set(each["methods"]) for each in fabrics)
    strips = {1: 1, 2: 2, 3: 3, 4: 4, 5: 5, 6: 6, 7: 7, 8: 8, 9: 7, 10: 6, 15: 1}
    rounds = {each["fabric"]: each for each in fabrics}
    for number, count in strips.items():
        length = rounds[f"round {number}"]["methods"]["rows"]["length_mm"]
        assert length == pytest.approx(3 * count * INCH)


def test_equal_fabrics_cost_one_layout(monkeypatch: pytest.MonkeyPatch) -> None:
    """12 squares of each of three colours are laid out once; 13 of a fourth once more."""
    calls = []

    def counted(*args: object, **named: object) -> object:
        calls.append(args)
        return lay_out(*args, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(cloth_layout, "lay_out", counted)
    cloth_layout.roll_length.cache_clear()
    cloths = [[Cut(80.0, 80.0, count)] for count in (12, 12, 12, 13)]
    lengths = [cloth_layout.roll_length(tuple(each), Fabric(), 0.0) for each in cloths]
    # 40 in hold 12 squares of 80 mm in a row: 960 of 1,016 mm.
    assert lengths == pytest.approx([80.0, 80.0, 80.0, 160.0])
    assert len(calls) == 2
    assert cloth_layout.cost_of_all(cloths, Fabric()) == pytest.approx(
        sum(cloth_layout.cost_of(each, Fabric()) for each in cloths[2:])
    )
