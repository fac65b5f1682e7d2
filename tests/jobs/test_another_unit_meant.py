"""Sizes that can only be in another unit are refused; those that are merely odd are warned of."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Studio

QUILT = {"width": 150, "length": 200}


def _finishing(**settings: Any) -> tuple[str, dict[str, Any]]:
    return "/v1/finishing", {"units": "cm", "quilt": QUILT, **settings}


def _yardage(**fabric: Any) -> tuple[str, dict[str, Any]]:
    piece = {"id": "A", "width": 10, "length": 10, "quantity": 8}
    return "/v1/yardage", {"units": "cm", "pieces": [piece], "fabric": fabric}


def _plan(**more: Any) -> tuple[str, dict[str, Any]]:
    body = {"units": "cm", "tiling": "square", "side": 10, "quilt": QUILT, **more}
    return "/v1/quilt-plans", body


def _square(side: float, allowance: Any) -> tuple[str, dict[str, Any]]:
    piece = {"id": "A", "shape": {"kind": "square", "side": side}, "seam_allowance": allowance}
    return "/v1/outlines", {"units": "cm", "pieces": [piece]}


CLOTH = "lies between 5 and 600 cm; it is 1 cm"


@pytest.mark.parametrize(
    ("question", "pointer", "words"),
    [
        # 1 m of cloth was stated as "1": no cloth is 1 cm wide, nor 50 m.
        (_finishing(backing={"usable_width": 1}), "#/backing/usable_width", CLOTH),
        (_finishing(binding={"usable_width": 1}), "#/binding/usable_width", CLOTH),
        (_finishing(backing={"usable_width": 5000}), "#/backing/usable_width", "600 cm"),
        (_yardage(width=1), "#/fabric/width", CLOTH),
        (_plan(backing={"usable_width": 1}), "#/backing/usable_width", CLOTH),
        # 2.5 in are a usual strip; 63 mm of it read as centimetres are not.
        (_finishing(binding={"strip": 63}), "#/binding/strip", "1 and 30 cm; it is 63 cm"),
        (_finishing(batting={"extra_each_side": 150}), "#/batting/extra_each_side", "100 cm"),
        (_plan(seam_allowance=20), "#/seam_allowance", "0 and 5 cm; it is 20 cm"),
        # No cloth is cut to 990 m, nor to a tenth of a millimetre.
        (
            _yardage(pre_cut={"width": 99000, "length": 50}),
            "#/fabric/pre_cut/width",
            "lies between 1 and 600 cm; it is 99000 cm",
        ),
        (
            _yardage(pre_cut={"width": 50, "length": "0.1 mm"}),
            "#/fabric/pre_cut/length",
            "lies between 1 and 600 cm; it is 0.01 cm",
        ),
        # More than 5 cm, and more than the whole piece.
        (_square(10, 20), "#/pieces/0/seam_allowance", "20 cm is more than the whole piece"),
        (_square(10, 10.1), "#/pieces/0/seam_allowance", "10 by 10 cm finished"),
        (
            _square(10, {"default": 0.6, "edges": {"2": 25}}),
            "#/pieces/0/seam_allowance/edges/2",
            "25 cm is more",
        ),
    ],
)
def test_refused(
    studio: Studio, question: tuple[str, dict[str, Any]], pointer: str, words: str
) -> None:
    address, body = question
    answer = studio.client.post(address, json=body)
    assert answer.status_code == 422
    (error,) = answer.get_json()["errors"]
    assert error["pointer"] == pointer
    assert words in error["detail"]
    assert "Was another unit meant?" in error["detail"]


def test_odd_cloth_and_allowances_are_warned_of(studio: Studio) -> None:
    """Cloth of 25 cm: 150 + 2 x 10.16 = 170.32 cm take 7 widths, which may be meant.

    6 cm are more than half of 10; 5 cm are not, nor is a hem of 10 cm on a piece of 30. Hexagons
    of 6 mm are sewn over paper with 7 mm.
    """
    payload = studio.calculated(*_finishing(backing={"usable_width": 25}))
    assert payload["backing"]["panels"] == 7
    assert "cloth only 25 cm wide is unusual" in " ".join(payload["warnings"])
    payload = studio.calculated(*_finishing(backing={"usable_width": 36}))
    assert "unusual" not in " ".join(payload["warnings"])
    (warning,) = studio.calculated(*_square(10, 6))["warnings"]
    assert "an allowance of 6 cm is more than half of a piece that is 10 cm long" in warning
    for side, allowance in ((10, 5), (30, {"default": 1, "edges": {"0": 10}})):
        assert not studio.calculated(*_square(side, allowance)).get("warnings")
    address, body = _square(10, 0.7)
    body["pieces"][0]["shape"] = {"kind": "hexagon", "side": 0.6}
    assert not studio.calculated(address, body).get("warnings")


def test_a_tiny_bed_is_not_stated_as_0(studio: Studio) -> None:
    """0.001 mm are 0.000039 in; the square of 1 in has 1.5 in with its allowances."""
    cutter = {"tool": {"kind": "laser", "kerf": 0}, "bed": {"width": "0.001 mm", "height": 6}}
    square = {"id": "A", "shape": {"kind": "square", "side": 1}, "seam_allowance": "1/4"}
    run = {"cut": "patch", "cutter": cutter, "material": {"kind": "card"}, "formats": ["svg"]}
    body = {"units": "in", "pieces": [square], "runs": [run]}
    answer = studio.client.post("/v1/layouts", json=body)
    assert answer.status_code == 422
    detail = answer.get_json()["detail"]
    assert "needs 1 1/2 by 1 1/2 in, and the work area is 0.000039 by 6 in" in detail
    # A slot of 0.2 mm reaches 0.1 mm x (1 + sqrt 2) = 0.2414 mm = 0.0095 in round a right corner.
    cutter["tool"] = {"kind": "laser", "kerf": "0.2 mm"}
    detail = studio.client.post("/v1/layouts", json=body).get_json()["detail"]
    assert detail.startswith("The tool needs 0.0095 in (0.241421 mm) round every piece")
