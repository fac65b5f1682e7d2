"""Drawn blocks over HTTP: JSON and files, repairs, refusals with places, and the kit."""

from __future__ import annotations

import copy
import io
import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

EXAMPLE = json.loads(
    (Path(__file__).resolve().parents[2] / "openapi/examples/harbour-block.json").read_text()
)
SQUARE = [[0, 0], [100, 0], [100, 100], [0, 100]]


@pytest.fixture(autouse=True)
def _here(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Compute in this process, but for one drawing, so that the tests take little time."""
    if request.node.name != "test_arcs_stay_arcs":
        monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)


def svg(body: str, size: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}</svg>'.encode()


def sent(client: FlaskClient, data: bytes, **fields: str) -> Any:
    body = {"file": (io.BytesIO(data), "block"), **fields}
    return client.post("/v1/blocks", data=body, content_type="multipart/form-data")


def drawn(client: FlaskClient, *rows: Sequence[Sequence[float]], **how: Any) -> Any:
    paths = [{"points": SQUARE, "closed": True}, *({"points": row} for row in rows)]
    return client.post("/v1/blocks", json={"units": "mm", "paths": paths, **how})


def found(answer: Any) -> dict[str, Any]:
    assert answer.status_code == 200, answer.get_data(as_text=True)
    body: dict[str, Any] = answer.get_json()
    return body


def test_a_star_and_its_kit(client: FlaskClient) -> None:
    """A sawtooth star of 4 x 4 units at 12 in, 20 times.

    A unit is 3 in. The middle is a square of 6 in; 4 geese of 6 x 3 in; 4 corners of 3 in; 8
    points, half squares of 3 in. Of 20 blocks: 20, 80, 80 and 160 patches. The block's area is
    144 sq in, 92,903.04 mm2.
    """
    answer = found(client.post("/v1/blocks", json=EXAMPLE))
    rows = [(each["letter"], each["quantity"], each["fabrics"]) for each in answer["groups"]]
    assert rows == [
        ("A", 1, {"sea": 1}), ("B", 4, {"sand": 4}), ("C", 4, {"sand": 4}), ("D", 8, {"sun": 8}),
    ]  # fmt: skip
    assert answer["width_mm"] == pytest.approx(304.8)
    total = math.fsum(each["area_mm2"] for each in answer["pieces"])
    assert total == pytest.approx(92_903.04, rel=1e-9)
    assert answer["repairs"] == answer["mismatches"] == []
    sides = [group["nearest"]["kind"] for group in answer["groups"]]
    assert sides == ["square", "half_square_triangle", "square", "half_square_triangle"]
    patches = {each["id"]: each["quantity"] for each in answer["kit"]["pieces"]}
    assert patches == {"A": 20, "B": 80, "C": 80, "D": 160}


@pytest.mark.without_nester
def test_the_block_goes_into_a_quilt(client: FlaskClient) -> None:
    """Two blocks of 12 in without borders make a quilt of 12 by 24 in: twice 17 pieces."""
    answer = found(client.post("/v1/blocks", json=EXAMPLE))
    plan = client.post(
        "/v1/quilt-plans",
        json={"units": "in", "block": answer["block"], "quilt": {"width": 12, "length": 24}},
    )
    assert plan.status_code == 200, plan.get_data(as_text=True)
    assert sum(each["quantity"] for each in plan.get_json()["pieces"]) == 2 * 17


def test_a_drawing_with_fills(client: FlaskClient) -> None:
    """A square of 100 mm with a diagonal: two triangles of 5,000 mm2, one on a blue ground."""
    answer = found(
        sent(
            client,
            svg(
                '<rect width="100" height="100" fill="#113355"/>'
                '<path d="M0 0H100V100Z" fill="#ffffff"/>'
            ),
        )
    )
    (group,) = answer["groups"]
    assert group["quantity"] == 2
    assert group["area_mm2"] == pytest.approx(5_000.0)
    assert group["fabrics"] == {"#113355": 1, "#ffffff": 1}
    made = client.post("/v1/kits", json=answer["kit"])
    assert made.status_code == 201, made.get_data(as_text=True)
    cut = [(run["cut"], run["material"]) for run in made.get_json()["runs"]]
    assert [each for each, _ in cut] == ["template", "patch", "patch"]


def test_repairs_are_listed(client: FlaskClient) -> None:
    """Ends short and long by 0.3 mm, a line drawn twice, a dot and text: triangles of 2,500."""
    answer = found(
        sent(
            client,
            svg(
                '<rect width="100" height="100" fill="none" stroke="#000"/><text>A</text>'
                '<g fill="none" stroke="#000"><path d="M.2 .2L99.8 99.8M100.2 -.2L0 100"/>'
                '<path d="M100 0L0 100"/><circle cx="30" cy="60" r=".4"/></g>'
            ),
        )
    )
    assert [each["quantity"] for each in answer["groups"]] == [4]
    assert sum(each["area_mm2"] for each in answer["pieces"]) == pytest.approx(10_000.0)
    kinds = {each["kind"] for each in answer["repairs"]}
    assert kinds == {"gap", "doubled-line", "dot"}
    (dot,) = [each for each in answer["repairs"] if each["kind"] == "dot"]
    assert (dot["x_mm"], dot["y_mm"]) == (pytest.approx(30, abs=0.3), pytest.approx(40, abs=0.3))
    assert any("text (1)" in each for each in answer["warnings"])


def test_scaled_to_its_finished_width(client: FlaskClient) -> None:
    answer = found(drawn(client, [[0, 0], [100, 100]], finished_width="6 in"))
    assert answer["width_mm"] == pytest.approx(152.4)
    assert answer["scale"] == pytest.approx(1.524)


@pytest.mark.without_nester
def test_another_allowance_on_the_edge(client: FlaskClient) -> None:
    """Nine squares: 4 corners have two outer sides, 4 have one, the middle none."""
    rows = [[[at, 0], [at, 100]] for at in (100 / 3, 200 / 3)]
    rows += [[[0, at], [100, at]] for at in (100 / 3, 200 / 3)]
    answer = found(drawn(client, *rows, seam_allowance="6 mm", outer_allowance="12 mm"))
    (group,) = answer["groups"]
    assert group["quantity"] == 9
    pieces = {each["id"]: each for each in answer["kit"]["pieces"]}
    assert {name: each["quantity"] for name, each in pieces.items()} == {"A": 1, "A.1": 4, "A.2": 4}
    assert pieces["A"]["seam_allowance"] == 6
    assert list(pieces["A.1"]["seam_allowance"]["edges"].values()) == [12]
    assert list(pieces["A.2"]["seam_allowance"]["edges"].values()) == [12, 12]
    runs = [{**run, "effort": "quick"} for run in answer["kit"]["runs"]]
    made = client.post("/v1/kits", json={**answer["kit"], "runs": runs})
    assert made.status_code == 201


def test_arcs_stay_arcs(client: FlaskClient) -> None:
    """A quarter circle of radius 60 mm: 900 pi = 2,827.43 mm2, and the rest."""
    quarter = math.tan(math.pi / 8)
    answer = found(drawn(client, [[60, 0, quarter], [0, 60]]))
    areas = [each["area_mm2"] for each in answer["groups"]]
    assert areas == [
        pytest.approx(10_000 - 900 * math.pi, rel=1e-9),
        pytest.approx(900 * math.pi, rel=1e-9),
    ]
    assert answer["block"] is None
    assert any(row[2] for row in answer["groups"][1]["points"])


REFUSED: dict[str, tuple[Sequence[Sequence[float]], str]] = {
    "an open end": ([[0, 50], [70, 50]], "ends at (70.00, 50.00) mm without meeting another"),
    "a thin piece": ([[50, 0], [50.8, 50], [50, 100], [50, 0]], "a piece is only 0.4 mm wide"),
    "an island apart": ([[200, 0], [300, 0], [300, 50], [200, 0]], "separate parts"),
    "a corner alone": ([[100, 100], [150, 100], [150, 150], [100, 100]], "only touch at (100.00"),
}


@pytest.mark.parametrize("name", list(REFUSED))
def test_refusals_name_places(client: FlaskClient, name: str) -> None:
    row, text = REFUSED[name]
    answer = drawn(client, row)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    problem = answer.get_json()
    assert problem["type"].endswith("drawing-refused")
    assert text in problem["errors"][0]["detail"]
    assert problem["errors"][0]["pointer"] == "#/paths"


def test_loose_lines_can_be_removed(client: FlaskClient) -> None:
    answer = found(drawn(client, [[0, 50], [70, 50]], loose_lines="remove"))
    assert [each["kind"] for each in answer["repairs"]] == ["loose-line"]
    assert len(answer["pieces"]) == 1


def test_a_thin_lens_has_a_letter_too(client: FlaskClient) -> None:
    """Two arcs of 100 mm, 0.8 mm apart in the middle: nearly parabolas, 2/3 x 0.8 x 100 mm2."""
    row = [[0, 0, 0.008], [100, 0, 0.008]]
    paths = [{"points": row, "closed": True}]
    answer = found(client.post("/v1/blocks", json={"units": "mm", "paths": paths}))
    (piece,) = answer["pieces"]
    assert piece["area_mm2"] == pytest.approx(2 / 3 * 0.8 * 100, rel=1e-3)


def test_very_many_ends_at_one_place_are_refused(client: FlaskClient) -> None:
    paths = [{"points": [[0, 0], [50, at / 10_000]]} for at in range(1_500)]
    answer = client.post("/v1/blocks", json={"units": "mm", "paths": paths})
    assert answer.status_code == 422
    assert "very many lines end" in answer.get_json()["errors"][0]["detail"]


def test_a_piece_about_another(client: FlaskClient) -> None:
    """A circle of radius 20 mm in the square: 400 pi, and 10,000 less that."""
    circle = [[30, 50, 1], [70, 50, 1], [30, 50]]
    answer = found(drawn(client, circle))
    areas = sorted(each["area_mm2"] for each in answer["pieces"])
    assert areas == [pytest.approx(400 * math.pi), pytest.approx(10_000 - 400 * math.pi)]
    assert any("template has no hole" in each for each in answer["warnings"])


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"paths": []}, "#/paths"),
        ({"paths": [{"points": [[0, 0]]}]}, "#/paths/0/points"),
        ({"paths": [{"points": [[0, 0, 2], [1, 1]]}]}, "#/paths/0/points/0/2"),
        ({"paths": [{"points": [[0, 0], [1, 1]], "fabric": "sea"}]}, "#/paths/0/fabric"),
        ({"finished_width": "1 mm"}, "#/finished_width"),
        ({"snap_tolerance": "1 m"}, "#/snap_tolerance"),
        ({"blocks": 0}, "#/blocks"),
        ({"loose_lines": "keep"}, "#/loose_lines"),
        ({"units": None}, "#/units"),
        ({"colour": "red"}, "#/colour"),
    ],
)
def test_bad_requests_name_the_member(
    client: FlaskClient, change: dict[str, Any], pointer: str
) -> None:
    body = copy.deepcopy(EXAMPLE) | change
    answer = client.post("/v1/blocks", json=body)
    assert answer.status_code == 422
    assert pointer in [each["pointer"] for each in answer.get_json()["errors"]]


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b"", "The file is empty"),
        (b"hello", "state"),
        (svg(""), "Nothing is drawn"),
        (svg("<text>A</text>"), "Nothing is drawn"),
        (svg('<path d="M0 0H50" stroke="#000"/>'), "ends at"),
    ],
)
def test_bad_files_are_refused(client: FlaskClient, data: bytes, text: str) -> None:
    answer = sent(client, data)
    assert answer.status_code == 422
    assert answer.get_json()["errors"][0]["pointer"] == "#/file"
    assert text in answer.get_data(as_text=True)


def test_other_media_types_are_refused(client: FlaskClient) -> None:
    answer = client.post("/v1/blocks", data="a,b", content_type="text/csv")
    assert answer.status_code == 415
