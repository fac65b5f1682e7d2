"""Plans and patches that were made before: the same for the same question, and for no other."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import pytest

from geometry.model.cutter import Bed, Cutter, Laser, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.proof.allowance import measure_allowance
from geometry.shapes.catalogue import build
from geometry.toolpath.options import PlanOptions
from service.errors import RequestError
from service.pieces import draw
from service.pieces.model import Piece
from service.requests.kits import kit_request
from service.tools import known_plans, recent_answers
from service.tools.built_in import BUILT_IN
from service.tools.known_plans import plan_question
from tests.requested import kit

HEXAGON = Region(build("hexagon", {"side": 15.0}))
LOAD = Load((Placement("A", Rigid(0.0, 50.0, 50.0)),))
CUTTER = Cutter("laser", Laser(), Bed(300.0, 200.0))
AREA = WorkArea.rectangle(0.0, 0.0, 300.0, 200.0)
PIECE = {"id": "A", "shape": {"kind": "hexagon", "side": "1 in"}, "seam_allowance": "1/4 in"}


def _asked(**other: Any) -> object:
    usual = {
        "load": LOAD, "pieces": {"A": HEXAGON}, "cutter": CUTTER, "area": AREA, "reach": AREA,
        "options": PlanOptions(),
    }  # fmt: skip
    return plan_question(**{**usual, **other})


@pytest.mark.parametrize(
    "other",
    [
        {"load": Load((Placement("A", Rigid(0.0, 51.0, 50.0)),))},
        {"load": Load((Placement("A", Rigid(0.0, 50.0, 50.0, mirrored=True)),))},
        {"pieces": {"A": Region(build("hexagon", {"side": 15.5}))}},
        {"area": WorkArea.rectangle(0.0, 0.0, 300.0, 199.0)},
        {"reach": WorkArea.rectangle(1.0, 1.0, 298.0, 198.0)},
        {"options": PlanOptions(common_line=True)},
        {"options": PlanOptions(loading="Lay the card on the bed.")},
        {"cutter": replace(CUTTER, tool=Laser(kerf=0.3))},
        {"cutter": replace(CUTTER, bed=Bed(301.0, 200.0))},
        {"cutter": replace(CUTTER, speed=51.0)},
        {"cutter": replace(CUTTER, travel_speed=151.0)},
        {"cutter": replace(CUTTER, stop_s=21.0)},
        {"cutter": replace(CUTTER, passes=2)},
    ],
)
def test_whatever_changes_a_plan_is_part_of_its_question(other: dict[str, Any]) -> None:
    assert _asked(**other) != _asked()


def test_names_and_formats_alone_are_not() -> None:
    named = replace(CUTTER, name="other", title="Other", formats={"svg": {"a": 1}})
    assert _asked(cutter=named) == _asked()
    assert hash(_asked(cutter=named)) == hash(_asked())
    # A member that is added to cutters is part of the question by itself.
    assert len(fields(Cutter)) == 11


def test_a_plan_in_another_language_is_another_one(monkeypatch: pytest.MonkeyPatch) -> None:
    before = _asked()
    monkeypatch.setattr(known_plans, "chosen_catalogue", object)
    assert _asked() != before


def _drawn(**other: Any) -> Piece:
    run = {"cut": "patch", "cutter": "laser-bed", "material": {"kind": "card"}}
    body = {"units": "mm", "pieces": [{**PIECE, **other}], "runs": [run]}
    request = kit_request(body, BUILT_IN.get)
    (piece,) = draw.draw_pieces(request.pieces, request.units).values()
    return piece


def test_a_kit_is_the_same_once_its_plans_and_patches_are_known() -> None:
    request = {
        "pieces": [{**PIECE, "quantity": 5}],
        "runs": [
            {"cut": "patch", "cutter": "laser-bed", "material": {"kind": "card"}},
            {"cut": "template", "cutter": "pen-sheet"},
        ],
    }
    first, again = kit(request, BUILT_IN.get), kit(request, BUILT_IN.get)
    assert first.files == again.files
    assert first.answer == again.answer


def test_a_path_picture_is_that_of_its_own_kit() -> None:
    def pictures(**other: Any) -> list[bytes]:
        run = {"cut": "template", "cutter": "pen-sheet", **other.pop("run", {})}
        body = {"title": "One", "pieces": [{**PIECE, "quantity": 3}], "runs": [run], **other}
        recent_answers.clear_all()
        alone = kit(body, BUILT_IN.get).files
        kit({**body, "title": "Two", "reference": "7"}, BUILT_IN.get)
        kit({**body, "pieces": [{**PIECE, "id": "B", "quantity": 3}]}, BUILT_IN.get)
        again = kit(body, BUILT_IN.get).files
        names = [name for name in alone if "path-picture" in name]
        assert names
        assert [again[name] for name in names] == [alone[name] for name in names]
        return [again[name] for name in names]

    first = pictures()
    assert first != pictures(title="Two")
    assert first != pictures(run={"layers": 2})
    assert first != pictures(units="in", run={"formats": ["dxf"], "material": {"name": "red card"}})


def test_a_patch_is_measured_once(monkeypatch: pytest.MonkeyPatch) -> None:
    measured: list[Any] = []
    found = measure_allowance

    def counted(*what: Any, **how: Any) -> Any:
        measured.append(what)
        return found(*what, **how)

    monkeypatch.setattr(draw, "measure_allowance", counted)
    first = _drawn()
    # Another id and quantity do not change its outlines.
    again = _drawn(id="B", quantity=7)
    assert len(measured) == 1
    assert (again.patch, again.allowance) == (first.patch, first.allowance)
    for other in (
        {"seam_allowance": "3/8 in"},
        {"shape": {"kind": "hexagon", "side": "2 in"}},
        {"seam_allowance": {"default": "1/4 in", "edges": {"0": "3/8 in"}}},
        {"corners": {"kind": "round"}},
        {"corners": {"kind": "mitre", "overrides": {"1": {"kind": "blunt"}}}},
    ):
        before = len(measured)
        _drawn(**other)
        assert len(measured) == before + 1, other


def test_a_patch_that_cannot_be_drawn_is_refused_each_time() -> None:
    # An allowance of 30 mm fills the notch between two points that are 20 mm apart.
    dart = {"kind": "custom", "points": [[0, 0], [20, 0], [10, 2], [20, 20], [0, 20]]}
    texts = []
    for _ in range(2):
        with pytest.raises(RequestError) as refused:
            _drawn(shape=dart, seam_allowance="30 mm")
        texts.append(str(refused.value))
    assert "allowance that works" in texts[0]
    assert texts[0] == texts[1]
