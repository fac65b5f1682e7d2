"""Requests load into frozen values: lengths in mm, defaults filled in."""

from __future__ import annotations

import dataclasses
import pickle
from typing import Any

import pytest

from geometry.model.cutter import IndexedBlade
from service.requests.finishing import FinishingRequestSchema
from service.requests.kits import KitRequest, kit_request
from service.requests.quilt_plans import QuiltPlanRequestSchema
from service.requests.shapes import CatalogueShape, size_text
from service.schemas.loading import load
from service.tools.built_in import BUILT_IN

INCH = 25.4  # international inch (NIST Handbook 44, appendix C)
BODY: dict[str, Any] = {
    # Read although it stands behind the lengths.
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "hexagon", "side": "1 1/2"},
            "seam_allowance": {"default": "1/4", "edges": {"10": 1, "2": "3 mm"}},
            "grain": [0, -270],
            "label": True,
        }
    ],
    "runs": [{"cut": "patch", "cutter": "indexed-blade-hoop"}],
    "units": "in",
}


def request() -> KitRequest:
    return kit_request(BODY, BUILT_IN.get)


def test_lengths_are_read_in_the_units_wherever_those_stand() -> None:
    (piece,) = request().pieces
    assert isinstance(piece.shape, CatalogueShape)
    assert piece.shape.values == {"side": pytest.approx(1.5 * INCH)}
    assert piece.shape.size == "side 1 1/2 in"
    assert piece.seam_allowance.default == pytest.approx(INCH / 4)
    assert list(piece.seam_allowance.edges.items()) == [(2, 3.0), (10, pytest.approx(INCH))]
    assert (piece.turns, piece.marks.label, piece.quantity) == ((0.0, 90.0), "A", 1)


def test_a_hand_is_said_as_at_the_bench() -> None:
    sizes = {"width": "60", "height": 90, "hand": "left"}
    assert size_text("right_triangle", sizes, "mm") == "width 60 mm, height 90 mm, left-handed"


def test_a_named_cutter_is_read_in_its_own_units_and_defaults_are_there() -> None:
    (run,) = request().runs
    assert isinstance(run.cutter.tool, IndexedBlade)
    assert (run.cutter.name, run.cutter.bed.width, run.cutter.margins.bottom) == (
        "indexed-blade-hoop",
        260.0,
        30.0,
    )
    # The gap of a blade set by hand; common practice, no source.
    assert (run.number, run.gap, run.formats, run.effort) == (1, 2.0, ("svg",), "normal")
    assert run.quantities == {"A": 1}
    assert set(request().cutters) == {"indexed-blade-hoop"}


def test_what_is_loaded_is_frozen_and_goes_to_a_child_and_back() -> None:
    found = request()
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.title = "x"  # type: ignore[misc]
    assert pickle.loads(pickle.dumps(found)) == found  # noqa: S301 - our own bytes


@pytest.mark.parametrize(
    ("units", "step", "unit"),
    # Eighths of a yard and tenths of a metre: as cloth is sold; common practice, no source.
    [("in", 4.5 * INCH, "yd"), ("cm", 100.0, "m"), ("mm", 100.0, "m")],
)
def test_settings_that_are_left_out_have_the_usual_values_of_the_units(
    units: str, step: float, unit: str
) -> None:
    body = {"quilt": {"bed": "twin"}, "units": units}
    found = load(FinishingRequestSchema(), body)
    assert found.settings.binding.step.mm == pytest.approx(step)
    assert found.settings.binding.step.unit == unit
    assert found.settings.backing.extra_each_side == pytest.approx(4 * INCH)
    # A twin mattress, 39 by 75 in, with 12 in over its sides and foot.
    assert found.quilt.width == pytest.approx(63 * INCH)
    assert found.quilt.length == pytest.approx(87 * INCH)


def test_a_quilt_plan_goes_to_a_child_too() -> None:
    body = {"units": "in", "tiling": "hexagon", "side": "1", "quilt": {"width": 60, "length": 70}}
    found = load(QuiltPlanRequestSchema(), body)
    assert found.written == {"side": "1"}
    assert pickle.loads(pickle.dumps(found)) == found  # noqa: S301 - our own bytes
