"""A plan whose request names its cloth, and not the colours of its pieces."""

from __future__ import annotations

import pytest

from tests.jobs.studio import Json, Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

PLAN: Json = {
    "units": "in",
    "tiling": "square",
    "side": "8",
    "setting": {"sashing": {"width": "2", "colour": "rope", "cornerstone_colour": "tar"}},
    "quilt": {"width": "48", "length": "58"},
    "fabric": {"name": "canvas", "width": "42", "step": "1/4 yd"},
}


def _bought(plan: Json) -> dict[str, str]:
    return {each["fabric"]: each["buy"] for each in plan["materials"]["fabrics"]}


def test_pieces_without_a_colour_are_of_the_named_fabric(studio: Studio) -> None:
    """5 x 6 blocks of 8 in with 2 in between are 48 x 58 in; sashing keeps its own colour.

    30 blocks of 8 1/2 in, 4 to 42 in: 8 strips, 68 in, 1.89 yd: 2 yd of canvas. Sashing 4 x 6 +
    5 x 5 = 49 of 2 1/2 x 8 1/2 in: 3 strips of 8 1/2 in hold 48, and one of 2 1/2 in: 28 in, 7/9
    yd, 1 yd by quarters. 20 cornerstones of 2 1/2 in, 16 to a strip: 5 in, 1/4 yd. The kit's runs
    are called so. Of a backing with its seams crosswise, 2 x 56 in of 3 1/8 yd leave 1/2 in.
    """
    plan = studio.calculated("/v1/quilt-plans", PLAN)
    assert _bought(plan) == {"canvas": "2 yd", "rope": "1 yd", "tar": "1/4 yd"}
    assert plan["colours"]["canvas"] == 30
    (backing,) = plan["warnings"]
    assert backing.startswith("Backing, seams crosswise: 3 1/8 yd leaves 1/2 in")
    materials = [each["material"]["name"] for each in plan["kit"]["runs"]]
    assert materials == ["card", "rope", "canvas", "tar"]


def test_a_name_that_nothing_has_is_not_dropped_silently(studio: Studio) -> None:
    """Where colours are stated, each names its fabric; the plan says that the other is unused."""
    plan = studio.calculated("/v1/quilt-plans", {**PLAN, "colours": {"names": ["sea"]}})
    assert set(_bought(plan)) == {"sea", "rope", "tar"}
    assert any('"canvas"' in each for each in plan["warnings"])
    named = studio.calculated("/v1/quilt-plans", {**PLAN, "colours": {"names": ["canvas"]}})
    assert not any("canvas" in each for each in named["warnings"])


def test_two_shapes_of_one_cloth(studio: Studio) -> None:
    """Octagons and squares have names of their own until one cloth is named for both."""
    plan: Json = {
        "units": "in",
        "tiling": "octagon_square",
        "side": "2",
        "quilt": {"width": "24", "length": "24"},
    }
    assert len(_bought(studio.calculated("/v1/quilt-plans", plan))) == 2
    one = studio.calculated("/v1/quilt-plans", {**plan, "fabric": {"name": "linen"}})
    assert list(_bought(one)) == ["linen"]


def test_nothing_left_to_straighten_the_end(studio: Studio) -> None:
    """14 strips of 4 1/2 in are 63 in, 1 3/4 yd to the last thread.

    Squares of 4 in with 1/4 in all round are 4 1/2 in, 9 to a strip of 42 in. 14 rows of 9 take
    1 3/4 yd = 63 in, and the end is straightened first: an inch (common practice, no source). Sold
    by eighths of a yard, 4 1/2 in, the next length is 1 7/8 yd. 13 rows take 58 1/2 in, 1 5/8 yd
    to the last thread likewise; by quarters of a yard they leave 4 1/2 in of 1 3/4 yd, and nothing
    is said.
    """

    def warned(squares: int, step: str) -> list[str]:
        piece = {"id": "S", "width": "4 1/2", "length": "4 1/2", "quantity": squares}
        fabric = {"width": "42", "step": step}
        answer = studio.calculated(
            "/v1/yardage", {"units": "in", "pieces": [piece], "fabric": fabric}
        )
        return answer["fabrics"][0].get("warnings") or []

    (all_used,) = warned(126, "1/8 yd")
    assert all_used.startswith("1 3/4 yd leaves 0 in to straighten the cloth's end")
    assert "buy 1 7/8 yd" in all_used
    assert "buy 1 3/4 yd" in warned(117, "1/8 yd")[0]
    assert warned(117, "1/4 yd") == []
