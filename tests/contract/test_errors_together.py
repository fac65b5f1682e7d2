"""All errors in a request are reported together, whatever kind they are of."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

HEXAGON = {"kind": "hexagon", "side": "1"}
RUN = {"cut": "patch", "cutter": "laser-bed", "material": {"kind": "card"}}


def errors(client: FlaskClient, body: dict[str, Any], path: str = "kits") -> dict[str, str]:
    answer = client.post(f"/v1/{path}", json=body)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    return {each["pointer"]: each["detail"] for each in answer.get_json()["errors"]}


def test_names_lengths_shapes_cutters_and_settings_in_one_list(client: FlaskClient) -> None:
    pieces = [
        {"id": "A", "shape": HEXAGON, "seam_allowance": {"default": "1/4", "edges": {"9": "1"}}},
        {"id": "B", "shape": HEXAGON | {"across_flats": 2}},
        # A clamshell's hollow arcs have half its width as their radius (plane geometry): 12.7 mm.
        {"id": "C", "shape": {"kind": "clamshell", "width": "1"}, "seam_allowance": "3"},
        {"id": "A", "shape": {"kind": "hexagone"}, "qty": 3},
    ]
    cutter = {
        "tool": {"kind": "laser", "kerf": "3 in"},
        "bed": {"width": 2, "height": "q"},
        "formats": {"svg": {"nope": 1}},
    }
    runs: list[dict[str, Any]] = [
        RUN | {"cutter": "nobody", "formats": ["gcod"], "gap": "x", "pieces": [{"id": "Z"}]},
        RUN | {"cutter": cutter},
        RUN | {"material": {"kind": "vinyl"}, "formats": ["gcode"], "stack": "sideways"},
    ]
    found = errors(client, {"units": "in", "pieces": pieces, "runs": runs})
    assert set(found) == {
        "#/pieces/0/seam_allowance/edges/9",
        "#/pieces/1/shape/across_flats",
        "#/pieces/2/seam_allowance",
        "#/pieces/3/id",
        "#/pieces/3/qty",
        "#/pieces/3/shape/kind",
        "#/runs/0/cutter",
        "#/runs/0/formats/0",
        "#/runs/0/gap",
        "#/runs/0/pieces/0/id",
        "#/runs/1/cutter/bed/height",
        "#/runs/1/cutter/formats/svg/nope",
        "#/runs/1/cutter/tool/kerf",
        "#/runs/2/cutter",
        "#/runs/2/material/kind",
        "#/runs/2/stack",
    }
    assert (
        "An allowance that works for this outline is less than 0.5 in"
        in found["#/pieces/2/seam_allowance"]
    )
    assert 'Did you mean "gcode"?' in found["#/runs/0/formats/0"]
    assert "0.1181 in; it is 3 in" in found["#/runs/1/cutter/tool/kerf"]


@pytest.mark.parametrize(
    ("units", "pointer"), [({"unit": "in"}, "#/unit"), ({"units": "inch"}, "#/units")]
)
def test_wrong_units_are_one_error_not_one_at_every_length(
    client: FlaskClient, units: dict[str, str], pointer: str
) -> None:
    bed = {"shape": "polygon", "points": [[0, 0], [9, 0], [0, 9]], "width": 9, "height": 9}
    body = {
        "pieces": [
            {"id": "A", "shape": HEXAGON, "seam_allowance": "1/4"},
            {"id": "B", "shape": {"kind": "custom", "points": [[0, 0], [1, 0], [0, 1]]}},
        ],
        "runs": [RUN | {"gap": "1", "cutter": {"tool": {"kind": "pen"}, "bed": bed}}],
    }
    assert set(errors(client, body | units)) == {pointer}
    assert "has no unit" in errors(client, body)["#/runs/0/gap"]


def test_quilts_too_report_all_of_theirs(client: FlaskClient) -> None:
    body = {
        "units": "in",
        "tiling": "hexagon",
        "width": "3",
        "quilt": {"width": "60", "drop": "3"},
        "colours": {"by": "rows", "shift": 2},
        "fabric": {"width": "0", "stp": "1/8 yd"},
        "paper": {"sheet": "a4", "height": "8"},
        "prices": {"pre_cut": 3},
        "binding": {"strip": "wide"},
    }
    assert set(errors(client, body, "quilt-plans")) >= {
        "#/width",
        "#",
        "#/quilt/drop",
        "#/quilt",
        "#/colours/names",
        "#/colours",
        "#/colours/shift",
        "#/fabric/width",
        "#/fabric/stp",
        "#/paper/sheet",
        "#/paper/height",
        "#/binding/strip",
    } - {"#/colours/names"}


def test_a_saved_cutter_that_no_longer_validates_is_an_error_where_it_is_named(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    store = client.application.extensions["quarterseam-store"]()
    store.cutters.put("old-mast", {"tool": {"kind": "laser"}, "bed": {"width": "9 in", "hight": 2}})
    small_kit["runs"][0] |= {"cutter": "old-mast", "gap": "wide"}
    found = errors(client, small_kit)
    assert "cannot be used any more" in found["#/runs/0/cutter"]
    assert "Did you mean `height`?" in found["#/runs/0/cutter"]
    assert "#/runs/0/gap" in found
