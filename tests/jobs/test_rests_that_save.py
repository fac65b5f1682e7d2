"""Instructions send a person to the rest of another strip only where that saves a strip.

Cloth 42 in wide; sizes are those as cut. A square of 2 1/2 in fits 16 times in a strip (40 in).
Four pieces of 9 in leave 6 in of a strip, which hold 2 squares; four of 8 x 5 in leave 10 x 5 in,
which hold 2 rows of 4.
"""

from __future__ import annotations

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

OWN = "B: Cut 1 strip 2 1/2 in x width of fabric; from it"
LONG = ("A", "9", "2 1/2")
TALL = ("A", "8", "5")


@pytest.mark.parametrize(
    ("first", "count", "squares", "length", "sentences"),
    [
        # 10 squares fit in a strip of their own: the end of A's saves nothing.
        (LONG, 4, 10, 5.0, [f"{OWN} 10 squares"]),
        # 18 are 16 and 2: one end of A's three strips is enough.
        (
            LONG,
            12,
            18,
            10.0,
            [f"{OWN} and the rest of strip 1 for A 18 squares"],
        ),
        # The only strip of A is "the strip".
        (
            LONG,
            4,
            18,
            5.0,
            [f"{OWN} and the rest of the strip for A 18 squares"],
        ),
        # 20 are 16 and 4: one row of the rest, not two, and a full strip.
        (
            TALL,
            4,
            20,
            7.5,
            [
                "B: From the rest of the strip for A cut 1 strip 2 1/2 in x 10 in; from it 4",
                f"{OWN} 16 squares",
            ],
        ),
        # 24 are 16 and both rows.
        (
            TALL,
            4,
            24,
            7.5,
            [
                "B: From the rest of the strip for A cut 2 strips 2 1/2 in x 10 in; from them 8",
                f"{OWN} 16 squares",
            ],
        ),
        # 8 come from the rest alone.
        (
            TALL,
            4,
            8,
            5.0,
            ["B: From the rest of the strip for A cut 2 strips 2 1/2 in x 10 in; from them 8"],
        ),
    ],
)
def test_rests_are_named_where_they_save_a_strip(
    studio: Studio,
    first: tuple[str, str, str],
    count: int,
    squares: int,
    length: float,
    sentences: list[str],
) -> None:
    """Each case is worked out beside it; the cloth stays as short as with every rest used."""
    name, across, along = first
    pieces = [
        {"id": name, "width": across, "length": along, names.QUANTITY: count},
        {"id": "B", "width": "2 1/2", "length": "2 1/2", names.QUANTITY: squares},
    ]
    body = {"units": "in", "pieces": pieces, "fabric": {"name": "cloth", "width": "42"}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    assert found["methods"]["rows"]["length_mm"] / 25.4 == pytest.approx(length)
    told = [each for each in found["cutting"]["instructions"] if each.startswith("B: ")]
    assert len(told) == len(sentences)
    for each, start in zip(told, sentences, strict=True):
        assert each.startswith(start)
