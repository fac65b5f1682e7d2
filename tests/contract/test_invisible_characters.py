"""Titles and names without characters that cannot be seen, in whatever script they are written."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from service.schemas import visible_text

TURNS = (
    ", which cannot be seen and turns words around; leave it out. Letters that are written from "
    "right to left need none."
)


def _kit(**more: Any) -> dict[str, Any]:
    square = {"id": "A", "shape": {"kind": "square", "side": 20}, "seam_allowance": 6}
    run = {
        "cut": "patch",
        "cutter": "drag-blade-sheet",
        "formats": ["svg"],
        "material": {"kind": "card", "name": "card"},
    }
    return {"units": "mm", "pieces": [square], "runs": [run], **more}


def _errors(client: FlaskClient, body: dict[str, Any]) -> list[dict[str, str]]:
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    payload = answer.get_json()
    assert payload["type"] == "/problems#schema-mismatch"
    return [{key: each[key] for key in ("pointer", "detail")} for each in payload["errors"]]


@pytest.mark.parametrize(
    "char", "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
def test_what_turns_words_is_named(client: FlaskClient, char: str) -> None:
    """Four letters stand before it."""
    (error,) = _errors(client, _kit(title=f"Quay{char}set"))
    assert error["pointer"] == "#/title"
    assert error["detail"].startswith(f"Character 5 is U+{ord(char):04X}, ")
    assert error["detail"].endswith(TURNS)


@pytest.mark.parametrize(
    ("char", "words"),
    [
        ("\u00ad", "SOFT HYPHEN, which cannot be seen; leave it out."),
        ("\u200b", "ZERO WIDTH SPACE, which cannot be seen; leave it out."),
        ("\u200d", "ZERO WIDTH JOINER, which cannot be seen; leave it out."),
        ("\u2060", "WORD JOINER, which cannot be seen; leave it out."),
        ("\ufeff", "ZERO WIDTH NO-BREAK SPACE, which cannot be seen; leave it out."),
        ("\U000e0041", "TAG LATIN CAPITAL LETTER A, which cannot be seen; leave it out."),
        ("\u2028", "LINE SEPARATOR; write a space instead."),
        ("\u0085", "Control characters have no place here."),
    ],
)
def test_what_is_not_seen_is_named(client: FlaskClient, char: str, words: str) -> None:
    (error,) = _errors(client, _kit(reference=f"Q{char}7"))
    assert error["pointer"] == "#/reference"
    assert error["detail"].endswith(words)


def test_every_text_is_looked_at(client: FlaskClient) -> None:
    body = _kit(title="a\u202eb")
    body["pieces"][0]["label"] = "W\u2066W"
    body["runs"][0]["material"]["name"] = "blue\u200bcotton"
    found = {each["pointer"] for each in _errors(client, body)}
    assert found == {"#/title", "#/pieces/0/label", "#/runs/0/material/name"}


@pytest.mark.parametrize(
    "title",
    [
        "\u05e9\u05de\u05d9\u05db\u05d4 7",  # a quilt in Hebrew
        "\u0644\u062d\u0627\u0641 12",  # and in Arabic
        "\u0645\u06cc\u200c\u062f\u0648\u0632\u0645",  # "I sew" in Persian: parted letters
        "\u0915\u094d\u200d\u0937",  # joined letters of Devanagari
        "\U0001f469\u200d\U0001f3a8 Quay",  # one picture of two
        "Quay\u00a0set, \u2116\u202f7, 1\u00bd \u00d7 2\u2033",  # spaces that do not break
        "e\u0301tang \u732b",
    ],
)
def test_letters_of_all_scripts_stay(client: FlaskClient, title: str) -> None:
    answer = client.post("/v1/kits", json=_kit(title=title))
    assert answer.status_code == 201
    assert answer.get_json()["title"] == title


def test_a_stored_kit_is_cut_again_with_the_texts_it_has(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An earlier version took them."""
    body = _kit(title="Quay\u202eset")
    body["runs"][0]["material"]["name"] = "blue\u200bcotton"
    with monkeypatch.context() as earlier:
        earlier.setattr(visible_text, "_fault", lambda *_: "")
        kit = client.post("/v1/kits", json=body)
    assert kit.status_code == 201
    recut = client.post(f"{kit.headers['Location']}/recuts", json={"run": 1, "pieces": {"A": 1}})
    assert recut.status_code == 201
