"""Every piece that does not fit is reported in one answer, with the largest size that would."""

from __future__ import annotations

import re
from typing import Any

import orjson
import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import update

from service.storage.tables import KITS

PEN = {"tool": {"kind": "pen"}, "bed": {"width": 8, "height": 6}}
SHEET = {"name": "card", "kind": "card"}


def squares(*sides: str) -> list[dict[str, Any]]:
    return [
        {"id": f"S{number}", "shape": {"kind": "square", "side": side}, "grain": "fixed"}
        for number, side in enumerate(sides, start=1)
    ]


def refused(client: FlaskClient, body: dict[str, Any], path: str = "/v1/kits") -> dict[str, Any]:
    answer = client.post(path, json=body)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    problem = dict(answer.get_json())
    assert problem["type"] == "/problems#does-not-fit"
    return problem


@pytest.mark.parametrize("path", ["/v1/kits", "/v1/layouts"])
def test_all_pieces_too_large_come_together(client: FlaskClient, path: str) -> None:
    """Squares of 7, 5 and 9 in on a bed of 8 x 6 in, grain fixed: 6 in fits, of a patch 5 1/2.

    The patch's 1/4 in all round is kept, so its square may be 6 - 2/4 in. Run 1 cuts templates of
    all three, run 2 patches of S1 and S2: too large are S1 and S3, and S1 again. S2's patch of
    5 1/2 in fits.
    """
    pieces = [piece | {"seam_allowance": "1/4"} for piece in squares("7", "5", "9")]
    runs = [
        {"cut": "template", "cutter": PEN, "material": SHEET},
        {"cut": "patch", "cutter": PEN, "pieces": [{"id": "S1"}, {"id": "S2"}]},
    ]
    problem = refused(client, {"units": "in", "pieces": pieces, "runs": runs}, path)
    found = [(each["pointer"], each["detail"]) for each in problem["errors"]]
    assert [place for place, _ in found] == [
        *("#/runs/0", "#/pieces/0/shape", "#/runs/0", "#/pieces/2/shape"),
        *("#/runs/1", "#/pieces/0/shape"),
    ]
    sizes = [re.findall(r"At most (.*) side fits", text) for _, text in found[::2]]
    assert sizes == [["6 in"], ["6 in"], ["5 1/2 in"]]
    # 7 in on 6 in; the members are about the first.
    assert problem["piece"] == "S1"
    assert problem["run"] == 1
    assert problem["short_by_mm"] == pytest.approx(25.4)
    assert problem["largest"]["side_mm"] == pytest.approx(6 * 25.4)


def test_a_single_piece_too_large_is_the_problem_s_detail(client: FlaskClient) -> None:
    body = {
        "units": "in",
        "pieces": squares("7", "5"),
        "runs": [{"cut": "template", "cutter": PEN}],
    }
    problem = refused(client, body)
    assert len(problem["errors"]) == 2
    assert problem["detail"] == problem["errors"][0]["detail"]
    assert '"S1"' in problem["detail"]


def test_a_piece_that_only_the_bed_s_shape_refuses_is_not_short_by_nothing(
    client: FlaskClient,
) -> None:
    """A square of 90 mm lies within 100 x 100 mm, not within a disc of 100 (70.7 mm)."""
    bed = {"shape": "ellipse", "width": 100, "height": 100}
    runs = [{"cut": "template", "cutter": {"tool": {"kind": "pen"}, "bed": bed}}]
    body = {"units": "mm", "pieces": squares("90"), "runs": runs}
    detail = refused(client, body)["detail"]
    assert "short by" not in detail
    assert re.search(r"At most 70\.[67] mm side fits", detail), detail


def test_an_allowance_alone_may_be_too_large(client: FlaskClient) -> None:
    """A patch is twice its allowance and more: nothing with 1/4 in all round fits in 0.4 in."""
    cutter = {"tool": {"kind": "pen"}, "bed": {"width": "0.4", "height": "0.4"}}
    piece = {"id": "H", "shape": {"kind": "hexagon", "side": "1"}, "seam_allowance": "1/4"}
    body = {"units": "in", "pieces": [piece], "runs": [{"cut": "patch", "cutter": cutter}]}
    detail = refused(client, body)["detail"]
    assert detail.endswith("With its seam allowance no size of it fits.")
    assert "%" not in detail


def test_many_misfits_are_reported_up_to_a_bound(client: FlaskClient) -> None:
    pieces = squares(*["7"] * 60)
    body = {"units": "in", "pieces": pieces, "runs": [{"cut": "template", "cutter": PEN}] * 3}
    errors = refused(client, body)["errors"]
    assert len(errors) == 40


def test_a_recut_that_does_not_fit_any_more_says_what_would(
    app: Flask, client: FlaskClient
) -> None:
    """Squares of 5 in with 1/4 in were cut on 8 x 6 in; the stored cutter is now 8 x 4 in.

    The stored outline is 5 1/2 in: 4 / 5.5 = 72.7 %, stated as 72 %: 3.96 in each way.
    S2 is 3 1/2 in and fits.
    """
    pieces = [piece | {"seam_allowance": "1/4"} for piece in squares("5", "3")]
    assert client.put("/v1/cutters/old-board", json={"units": "in"} | PEN).status_code == 201
    run = {"cut": "patch", "cutter": "old-board", "material": SHEET}
    made = client.post("/v1/kits", json={"units": "in", "pieces": pieces, "runs": [run]})
    assert made.status_code == 201
    kit = made.get_json()["id"]
    store = app.extensions["quarterseam-store"]()
    answer = orjson.loads(store.kits.answer(kit).data)
    answer["cutters"]["old-board"]["bed"]["height"] = 4
    with store.engine.begin() as connection:
        connection.execute(update(KITS).where(KITS.c.id == kit).values(answer=orjson.dumps(answer)))
    body = {"run": 1, "pieces": {"S2": 1, "S1": 2}}
    problem = refused(client, body, f"/v1/kits/{kit}/recuts")
    assert [each["pointer"] for each in problem["errors"]] == ["#/run", "#/pieces/S1"]
    detail = problem["errors"][1]["detail"]
    assert "At most 72 % of the size of its stored outline fits" in detail
    assert "3.96 in" in detail
    assert (
        client.post(f"/v1/kits/{kit}/recuts", json=body | {"pieces": {"S2": 1}}).status_code == 201
    )
