"""Errors that help: places that resolve, names that were meant, the request's own units."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from geometry.errors import BadUnitError
from geometry.units import parse_length
from service.schemas.units_in_text import in_units


def refused(client: FlaskClient, body: dict[str, Any]) -> dict[str, Any]:
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    payload: dict[str, Any] = answer.get_json()
    return payload


def at(body: Any, pointer: str) -> Any:
    """Return what an RFC 6901 pointer in fragment form leads to; KeyError where nothing."""
    for step in pointer.removeprefix("#").split("/")[1:]:
        key = step.replace("~1", "/").replace("~0", "~")
        body = body[int(key)] if isinstance(body, list) else body[key]
    return body


@pytest.mark.parametrize(
    ("place", "name", "word"),
    [
        ("pieces/0", "qty", "`quantity`"),
        ("pieces/0", "quantiy", "`quantity`"),
        ("pieces/0", "seam", "`seam_allowance`"),
        ("pieces/0", "seamAllowance", "`seam_allowance`"),
        ("pieces/0", "size", "`shape`"),
        ("pieces/0", "colour", "material"),
        ("pieces/0/shape", "size", "`across_flats`"),
        ("pieces/0/shape", "across-flats", "`across_flats`"),
        ("runs/0", "color", "material"),
        ("runs/0", "materail", "`material`"),
        ("runs/0", "fabric", "`material`"),
        ("runs/0", "plies", "`layers`"),
        ("runs/0/material", "colour", "`name`"),
        ("runs/0/material", "type", "`kind`"),
    ],
)
def test_a_misspelt_field_is_told_what_was_meant(
    client: FlaskClient, small_kit: dict[str, Any], place: str, name: str, word: str
) -> None:
    at(small_kit, f"#/{place}")[name] = "1"
    faults = {each["pointer"]: each["detail"] for each in refused(client, small_kit)["errors"]}
    assert word in faults[f"#/{place}/{name}"]


def test_a_missing_field_is_named_and_a_kind_is_suggested(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    del small_kit["runs"][0]["cut"]
    small_kit["pieces"][0]["shape"] = {"kind": "hexagone", "side": "1"}
    faults = {each["pointer"]: each["detail"] for each in refused(client, small_kit)["errors"]}
    assert faults["#/runs/0"] == "`cut` is required."
    assert 'Did you mean "hexagon"?' in faults["#/pieces/0/shape/kind"]


@pytest.mark.parametrize(("side", "wanted"), [("width", "1.9686 in"), ("height", "0.7875 in")])
def test_a_bound_that_an_error_states_in_inches_is_taken(
    client: FlaskClient, small_kit: dict[str, Any], side: str, wanted: str
) -> None:
    """Labels are 50 by 20 mm at least: 1.96850 by 0.78740 in, and less in four decimals is less."""
    sheet = {"width": "3 in", "height": "2 in", "columns": 1, "rows": 1, "left": 0, "top": 0}
    small_kit["labels"] = {"sheet": {"paper": "letter", **sheet, side: "0.00001 mm"}}
    (fault,) = refused(client, small_kit)["errors"]
    assert f"at least {wanted}; it is 0.00000039 in." in fault["detail"]
    small_kit["labels"]["sheet"][side] = wanted
    assert client.post("/v1/kits", json=small_kit).status_code == 201


def test_the_largest_that_fits_is_a_sentence_in_the_request_s_units(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    """A regular hexagon's smallest square: corners x cos 15 deg (plane geometry).

    On 3 in less 2 x 0.25 mm a patch's corners measure 2.9803 / cos 15 deg = 3.0855 in, its flats
    2.672 in, the template's 2.172 in: 2 1/8 in, rounded down to sixteenths.
    """
    small_kit["pieces"][0]["shape"] = {"kind": "hexagon", "across_flats": "3"}
    small_kit["runs"][0] |= {
        "cut": "patch",
        "cutter": {"tool": {"kind": "drag_blade"}, "bed": {"width": 3, "height": 3}},
    }
    problem = refused(client, small_kit)
    assert problem["detail"].endswith("At most 2 1/8 in across flats fits.")
    # A blade's offset is below what a ruler in inches shows, and known in mm: both are said.
    assert " mm" not in problem["detail"].replace(" (0.25 mm)", "")
    flats = (3 - 0.5 / 25.4) / math.cos(math.radians(15)) * math.sqrt(3) / 2 - 0.5
    assert flats - 1 / 16 < problem["largest"]["across_flats_mm"] / 25.4 <= flats
    small_kit["pieces"][0]["shape"]["across_flats"] = "2 1/8"
    assert client.post("/v1/layouts", json=small_kit).status_code == 200
    small_kit["pieces"][0]["shape"]["across_flats"] = "2 3/16"
    refused(client, small_kit)


@pytest.mark.parametrize("formats", [["gcode"], ["svg", "gcode"]])
def test_pointers_lead_to_something_in_the_request(
    client: FlaskClient, small_kit: dict[str, Any], formats: list[str]
) -> None:
    """The setting is missing in a cutter that the request only names."""
    small_kit["runs"][0]["formats"] = formats
    problem = refused(client, small_kit)
    assert [each["pointer"] for each in problem["errors"]] == ["#/runs/0/cutter"]
    for each in problem["errors"]:
        at(small_kit, each["pointer"])


@pytest.mark.parametrize(
    ("text", "word"), [("3,5", '"3.5"'), ("3,5 cm", '"3.5 cm"'), ("1,000 in", '"1000 in"')]
)
def test_a_comma_is_told_to_be_a_point(text: str, word: str) -> None:
    with pytest.raises(BadUnitError, match="write a point") as error:
        parse_length(text, "cm")
    assert word in error.value.message


@pytest.mark.parametrize(
    ("text", "units", "sentence"),
    [
        ("between 0.1 and 3 mm; it is 127 mm", "in", "between 0.004 and 0.1181 in; it is 5 in"),
        ("190.00 by 130.00 mm", "cm", "19 by 13 cm"),
        ('"5 mm" is less than 6.35 mm', "in", '"5 mm" is less than 0.25 in'),
        ("50 mm/s and 25.4 mm2", "in", "50 mm/s and 25.4 mm2"),
        ("at most 3 mm", "mm", "at most 3 mm"),
        ("at most 3 mm", None, "at most 3 mm"),
    ],
)
def test_sentences_speak_the_request_s_units(text: str, units: str | None, sentence: str) -> None:
    assert in_units(text, units) == sentence


def test_a_kit_is_made_without_asserts_and_docstrings(
    tmp_path: Path, small_kit: dict[str, Any]
) -> None:
    """``python -OO`` strips both: nothing may rely on them."""
    request = tmp_path / "request.json"
    small_kit["runs"].append(
        small_kit["runs"][0] | {"cut": "patch", "cutter": "indexed-blade-hoop", "formats": ["plan"]}
    )
    request.write_text(json.dumps(small_kit))
    root = Path(__file__).resolve().parents[2]

    def run(*words: str) -> str:
        done = subprocess.run(
            [sys.executable, "-OO", "-m", "service", *words],
            cwd=root, capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr[-2000:]
        return done.stdout

    run("cut", str(request), "--out", str(tmp_path / "kit"))
    assert (tmp_path / "kit" / "1-template-card-1.svg").is_file()
    assert "QUARTERSEAM_" in run("settings")
    document = json.loads(run("openapi"))
    committed = json.loads((root / "openapi" / "openapi.json").read_bytes())
    assert set(document["paths"]) == set(committed["paths"])
