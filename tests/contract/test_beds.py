"""Beds and hoops that are no rectangle: pieces stay inside the opening and out of keep-outs."""

from __future__ import annotations

import copy
from typing import Any

import pytest
import shapely
from flask.testing import FlaskClient

from tests.short_form import short_form

BODY: dict[str, Any] = {
    "units": "mm",
    "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": 12}, "quantity": 60}],
    "runs": [
        {
            "cut": "template",
            "cutter": {"tool": {"kind": "pen"}, "bed": {"width": 160, "height": 120}},
            "formats": ["svg"],
        }
    ],
}
BEDS: dict[str, dict[str, Any]] = {
    "ellipse": {"width": 160, "height": 120, "shape": "ellipse"},
    "circle": {"width": 140, "height": 140, "shape": "ellipse"},
    "rounded": {"width": 160, "height": 120, "shape": "rounded", "radius": 40},
    "polygon": {
        "width": 160,
        "height": 120,
        "shape": "polygon",
        "points": [[0, 0], [160, 0], [160, 60], [80, 120], [0, 120]],
    },
    "keep-out": {
        "width": 160,
        "height": 120,
        "keep_out": [[[60, 40], [100, 40], [100, 80], [60, 80]]],
    },
}


def asked(bed: dict[str, Any], **margins: float) -> dict[str, Any]:
    body = copy.deepcopy(BODY)
    body["runs"][0]["cutter"]["bed"] = bed
    body["runs"][0]["cutter"]["margins"] = margins
    return body


@pytest.mark.parametrize("name", short_form(BEDS, BEDS.keys() - {"circle", "ellipse"}))
def test_pieces_stay_inside(client: FlaskClient, name: str) -> None:
    answer = client.post("/v1/kits", json=asked(BEDS[name], left=5, bottom=8))
    assert answer.status_code == 201, answer.get_data(as_text=True)
    kit = answer.get_json()
    outline = kit["pieces"][0]["template"]["outline"]
    bed = BEDS[name]
    width, height = bed["width"], bed["height"]
    room = shapely.box(5, 8, width, height)
    if bed.get("shape") == "ellipse":
        disc = shapely.Point(0, 0).buffer(1, quad_segs=256)
        disc = shapely.affinity.scale(disc, width / 2, height / 2)
        room &= shapely.affinity.translate(disc, width / 2, height / 2)
    if name == "polygon":
        room &= shapely.Polygon(bed["points"])
    placed = 0
    for load in kit["runs"][0]["loads"]:
        for place in load["placements"]:
            piece = shapely.affinity.rotate(
                shapely.Polygon([row[:2] for row in outline]), place["turn_deg"], origin=(0, 0)
            )
            piece = shapely.affinity.translate(piece, place["x_mm"], place["y_mm"])
            assert room.buffer(0.05).contains(piece)
            for points in bed.get("keep_out", []):
                assert piece.intersection(shapely.Polygon(points)).area < 1e-3
        placed += len(load["placements"]) * load["repeats"]
    assert placed == 60
    assert client.get(kit["runs"][0]["loads"][0]["picture"]).status_code == 200


@pytest.mark.parametrize(
    ("bed", "pointer"),
    [
        ({"width": 100, "height": 80, "radius": 5}, "radius"),
        ({"width": 100, "height": 80, "shape": "rounded"}, "radius"),
        ({"width": 100, "height": 80, "shape": "rounded", "radius": 40}, "radius"),
        ({"width": 100, "height": 80, "shape": "polygon"}, "points"),
        (
            {"width": 10, "height": 8, "shape": "polygon", "points": [[0, 0], [90, 0], [0, 9]]},
            "points",
        ),
        ({"width": 100, "height": 80, "shape": "blob"}, "shape"),
    ],
)
def test_faults_of_beds(client: FlaskClient, bed: dict[str, Any], pointer: str) -> None:
    answer = client.post("/v1/layouts", json=asked(bed))
    assert answer.status_code == 422
    fault = answer.get_json()["errors"][0]
    # A pointer names what is in the request: of a field left out, the bed that lacks it.
    whole = "#/runs/0/cutter/bed"
    assert fault["pointer"].startswith(whole if pointer not in bed else f"{whole}/{pointer}")
    assert pointer in f"{fault['pointer']} {fault['detail']}"


def test_pens_are_taken(client: FlaskClient) -> None:
    body = asked(BEDS["keep-out"])
    body["runs"][0]["formats"] = ["hpgl"]
    body["runs"][0]["cutter"]["formats"] = {"hpgl": {"pens": {"cut": 4}}}
    kit = client.post("/v1/kits", json=body).get_json()
    file = kit["runs"][0]["loads"][0]["files"][0]
    assert b"SP4;" in client.get(file["href"]).data


def test_a_keep_out_off_the_bed_is_refused(client: FlaskClient) -> None:
    # Millimetres written where the request's units are inches, say.
    body = copy.deepcopy(BODY)
    body["runs"][0]["cutter"]["bed"]["keep_out"] = [[[500, 10], [600, 10], [600, 90]]]
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 422
    (fault,) = answer.get_json()["errors"]
    assert fault["pointer"] == "#/runs/0/cutter/bed/keep_out/0"
