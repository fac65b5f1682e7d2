"""Binding, backing and batting of quilts that books have worked out."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
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
    assert payload["length_mm"] == pytest.approx(268 * 25.4)
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
