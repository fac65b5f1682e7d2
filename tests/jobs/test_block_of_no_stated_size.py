"""A block drawn in bare user units: what the error says to state is what the next request takes.

A square of 96 units with one diagonal has no unit. For a block the units are those of its kit too,
so they are in, mm or cm: 96 units of 1 mm, scaled to a block of 6 in, are two half-square triangles
of 6 in. Pixels (96 per inch) go with an inspection alone, which then finds 25.4 by 25.4 mm.
"""

from __future__ import annotations

import io
from typing import Any

import pytest

from tests.jobs.studio import Studio

DRAWING = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 96 96" fill="none" stroke="#000">'
    b'<path d="M0 0H96V96H0Z"/></svg>'
)


def _post(studio: Studio, path: str, data: bytes, **fields: str) -> Any:
    sent = {"file": (io.BytesIO(data), "block.svg"), **fields}
    return studio.client.post(path, data=sent, content_type="multipart/form-data")


def test_units_that_a_block_is_told_to_state_are_taken(studio: Studio) -> None:
    """The error offers pixels to inspections only; a block in mm is cut 6 in wide."""
    data = DRAWING.replace(b"Z", b"ZM0 0L96 96")
    answer = _post(studio, "/v1/blocks", data, finished_width="6 in")
    assert answer.status_code == 422
    (fault,) = answer.json["errors"]
    assert "width and height in mm" in fault["detail"]
    assert 'An inspection also takes "px"' in fault["detail"]
    answer = _post(studio, "/v1/blocks", data, finished_width="6 in", units="mm")
    assert answer.status_code == 200
    (group,) = answer.json["groups"]
    assert (group["quantity"], group["nearest"]["kind"]) == (2, "half_square_triangle")
    assert group["nearest"]["size_mm"] == pytest.approx(152.4)


def test_inspection_takes_pixels(studio: Studio) -> None:
    """96 pixels are 1 in."""
    answer = _post(studio, "/v1/inspections", DRAWING, units="px")
    assert answer.status_code == 200
    (outline,) = answer.json["outlines"]
    assert outline["width_mm"] == pytest.approx(25.4)
    assert outline["height_mm"] == pytest.approx(25.4)
