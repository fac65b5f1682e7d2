"""Errors that count: one of a thing is not said in the plural."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from geometry.sentences import number_of
from service.schemas.library_messages import in_plain_words


@pytest.mark.parametrize(
    ("count", "nouns", "words"),
    [
        (1, ("copy", "copies"), "1 copy"),
        (0, ("copy", "copies"), "0 copies"),
        (2, ("kit",), "2 kits"),
        (10_000, ("piece",), "10,000 pieces"),
        (1.0, ("second",), "1 second"),
        (0.5, ("second",), "0.5 seconds"),
    ],
)
def test_a_count_with_its_noun(count: float, nouns: tuple[str, ...], words: str) -> None:
    assert number_of(count, *nouns) == words


@pytest.mark.parametrize(
    ("message", "words"),
    [
        ("Shorter than minimum length 1.", "Must have at least 1 character."),
        ("Longer than maximum length 1.", "Must have at most 1 character."),
        ("Length must be 1.", "Must have 1 character."),
        ("Length must be between 1 and 40.", "Must have 1 to 40 characters."),
        ("Length must be 11.", "Must have 11 characters."),
    ],
)
def test_characters(message: str, words: str) -> None:
    assert in_plain_words(message) == words


@pytest.mark.parametrize(
    ("quantity", "more", "pointer", "detail"),
    [
        # Twice 600,000 are 1,200,000; once are fewer than a million.
        (
            600_000,
            {"copies": 2},
            "#/copies",
            (
                '2 copies with 600,000 of piece "A" each are more than 1,000,000 pieces; '
                "ask for at most 1 copy or for fewer pieces."
            ),
        ),
        # 4 times 300,000 are 1,200,000; 3 times are 900,000.
        (
            300_000,
            {"copies": 4},
            "#/copies",
            (
                '4 copies with 300,000 of piece "A" each are more than 1,000,000 pieces; '
                "ask for at most 3 copies or for fewer pieces."
            ),
        ),
        # 1,000,000 and a tenth of them: no copy has room.
        (
            1_000_000,
            {"copies": 2, "spares": {"percent": 10}},
            "#/copies",
            (
                '2 copies with 1,100,000 of piece "A" each are more than 1,000,000 pieces; '
                "ask for fewer pieces."
            ),
        ),
        (
            950_000,
            {"spares": {"percent": 10}},
            "#/spares",
            (
                '1,045,000 of piece "A", spares counted, are more than 1,000,000 pieces; '
                "ask for fewer."
            ),
        ),
    ],
)
def test_copies(
    client: FlaskClient, quantity: int, more: dict[str, Any], pointer: str, detail: str
) -> None:
    square = {"kind": "square", "side": 20}
    piece = {"id": "A", "shape": square, "seam_allowance": 6, "quantity": quantity}
    body = {
        "units": "mm",
        "pieces": [piece],
        "runs": [{"cut": "patch", "cutter": "drag-blade-sheet", "formats": ["svg"]}],
        **more,
    }
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 422
    details = {each["pointer"]: each["detail"] for each in answer.get_json()["errors"]}
    assert details[pointer] == detail
