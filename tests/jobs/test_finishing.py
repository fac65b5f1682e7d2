"""Binding, backing and batting of quilts that books have worked out."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.sheet import Sheet
from tests.jobs.studio import Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")


def finished(studio: Studio, width: str, length: str, **more: Any) -> dict[str, Any]:
    quilt = {"width": width, "length": length}
    return studio.calculated("/v1/finishing", {"units": "in", "quilt": quilt, **more})


def test_binding_of_the_harbour_quilt(studio: Studio) -> None:
    """A published binding: 2 x (66 + 58) + 20 = 268 in; 268 / 40 = 6.7, 7 strips of 2 1/2 in.

    7 x 2.5 = 17.5 in = 0.486 yd, to a quarter yard 1/2 yd; 0.5 in is left.
    """
    payload = finished(
        studio, "66", "58",
        binding={"strip": "2 1/2", "usable_width": "40", "extra": "20", "step": "1/4 yd"},
    )["binding"]  # fmt: skip
    # Not 6807.200000000001, and half an inch not 12.699999999999989.
    assert (repr(payload["length_mm"]), repr(payload["unused_mm"])) == ("6807.2", "12.7")
    assert payload["strips"] == 7
    assert payload["fabric_length_mm"] == pytest.approx(17.5 * 25.4)
    assert payload[names.BUY] == "1/2 yd"


def test_binding_of_the_dinghy_quilt(studio: Studio) -> None:
    """Another published one: 2 x (54 + 60) + 10 = 238 in; 238 / 42 = 5.67, 6 strips."""
    payload = finished(studio, "54", "60", binding={"usable_width": "42", "extra": "10"})["binding"]
    assert payload["length_mm"] == pytest.approx(238 * 25.4)
    assert payload["strips"] == 6


def test_backing_of_the_wharf_quilt(studio: Studio) -> None:
    """A published backing: 60 x 70 with 4 in on each side is 68 x 78.

    Widths of 40 in: 68 / 40 = 1.7, two widths of 78 in = 156 in lengthwise; crosswise
    78 / 40 = 1.95, two widths of 68 in = 136 in, which is less: 136 / 36 = 3.78, 3 7/8 yd.
    """
    payload = finished(studio, "60", "70", backing={"seams": "least", "usable_width": "40"})
    back = payload["backing"]
    assert (back["width_mm"], back["length_mm"]) == pytest.approx((68 * 25.4, 78 * 25.4))
    assert back["panels"] == 2
    assert back["seams"] == "crosswise"
    assert back["fabric_length_mm"] == pytest.approx(136 * 25.4)
    assert back[names.BUY] == "3 7/8 yd"
    batting = payload["batting"]
    assert (batting["width_mm"], batting["length_mm"]) == pytest.approx((68 * 25.4, 78 * 25.4))


def _plan(side: str, width: str, length: str, **more: Any) -> dict[str, Any]:
    quilt = {"width": width, "length": length}
    return {"units": "in", "tiling": "square", "side": side, "quilt": quilt, **more}


def _ends(payload: dict[str, Any]) -> list[str]:
    return [each for each in payload["warnings"] if "straighten" in each]


def test_nothing_left_to_straighten_binding_and_backing(studio: Studio) -> None:
    """A quilt of 60 x 64 in: binding (248 + 10) / 40, 7 strips of 2 1/2 in, 17 1/2 of 18 in.

    Half an inch of 1/2 yd is left, where straightening may take an inch (common practice, no
    source): 18 1/2 in, 5/8 yd. The backing is 68 x 72 in, 2 lengths of 72 in: 144 in, 4 yd to the
    last thread, 145 in are 4 1/8 yd; crosswise 2 x 68 = 136 in leave 3 1/2 in of 3 7/8 yd.
    """
    (binding, backing) = _ends(finished(studio, "60", "64"))
    assert binding.startswith("Binding: 1/2 yd leaves 1/2 in to straighten the cloth's end")
    assert "may take 1 in: buy 5/8 yd" in binding
    assert backing.startswith("Backing, seams lengthwise: 4 yd leaves 0 in")
    assert "buy 4 1/8 yd" in backing
    plan = _plan("4", "60", "64")
    assert _ends(studio.calculated("/v1/quilt-plans", plan)) == [binding, backing]
    form = {"Accept": "application/pdf"}
    sheet = Sheet(studio.client.post("/v1/quilt-plans", json=plan, headers=form).data)
    assert sheet.together("1/2 yd leaves 1/2 in", "buy 5/8 yd", "4 yd leaves 0 in")


def test_nothing_left_of_both_ways_of_a_metric_backing(studio: Studio) -> None:
    """A backing of 50 x 70 cm on cloth 110 cm wide: one length of 70 cm, or one of 50 cm.

    Sold by 10 cm, each is used up: with 2.54 cm more 0.8 and 0.6 m. Binding: 200 + 25.4 cm in
    strips of 101.6 cm, 3 of 6.35 cm: 19.05 cm leave 0.95 cm of 0.2 m, so 21.59 cm, 0.3 m.
    """
    step = "10 cm"
    body = {
        "units": "cm",
        "quilt": {"width": 40, "length": 60},
        "binding": {"step": step},
        "backing": {"extra_each_side": 5, "usable_width": 110, "step": step},
    }
    binding, chosen, other = _ends(studio.calculated("/v1/finishing", body))
    assert "0.2 m leaves 0.95 cm" in binding
    assert "2.54 cm: buy 0.3 m" in binding
    assert chosen.startswith("Backing, seams lengthwise: 0.7 m leaves 0 cm")
    assert "buy 0.8 m" in chosen
    assert other.startswith("Backing, seams crosswise: 0.5 m leaves 0 cm")
    assert "buy 0.6 m" in other


def test_nothing_left_for_three_quilts_together(studio: Studio) -> None:
    """One quilt of 45 x 54 in: (198 + 10) / 40, 6 strips of 2 1/4 in, 13 1/2 in, just 3/8 yd.

    Three are bought together: 18 strips, 40 1/2 in, just 1 1/8 yd; 41 1/2 in are 1 1/4 yd. Their
    backings are 3 x 2 x 62 = 372 of 373 1/2 in, or 3 x 2 x 53 = 318 of 319 1/2 in: enough. An inch
    and more is left of one backing too, 2 of 126 and 2 of 108 in.
    """
    plan = _plan("9", "45", "54", binding={"strip": "2 1/4"})
    (one,) = _ends(studio.calculated("/v1/quilt-plans", plan))
    assert one.startswith("Binding: 3/8 yd leaves 0 in")
    assert "buy 1/2 yd" in one
    (every,) = _ends(studio.calculated("/v1/quilt-plans", {**plan, "kits": 3}))
    assert every.startswith("Binding for all 3 quilts: 1 1/8 yd leaves 0 in")
    assert "buy 1 1/4 yd" in every
