"""How large an allowance may be: the stated bound is one that the next request can keep.

The hollow sides of a clamshell of 1/2 in are arcs of 1/4 in. An allowance of 1/4 in makes nothing
of them, so it has to be less than 1/4 in: 0.24 in leaves 0.01 in of the arcs. It was answered that
1/4 in is used up and that the largest that works is 0.25 in.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Studio


def _outlines(studio: Studio, allowance: str, shape: dict[str, Any]) -> Any:
    piece = {"id": "A", "shape": shape, "seam_allowance": allowance, "corners": {"kind": "blunt"}}
    return studio.client.post("/v1/outlines", json={"units": "in", "pieces": [piece]})


def test_bound_that_is_stated_is_not_the_one_that_was_refused(studio: Studio) -> None:
    """The arcs are used up at 1/4 in; less than that is asked for, and less than that works."""
    shape = {"kind": "clamshell", "width": "1/2"}
    answer = _outlines(studio, "1/4", shape)
    assert answer.status_code == 422
    (fault,) = answer.json["errors"]
    assert fault["pointer"] == "#/pieces/0/seam_allowance"
    assert "less than 0.25 in" in fault["detail"]
    assert "works for this outline is 0.25 in" not in fault["detail"]
    assert _outlines(studio, "0.24", shape).status_code == 200


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        ({"kind": "apple_core", "length": 2, "radius": 1}, "Size the apple core in exactly one"),
        ({"kind": "octagon", "side": 1, "across_flats": 2}, "Size the octagon in exactly one"),
    ],
)
def test_two_sizes_are_refused_in_plain_english(
    studio: Studio, shape: dict[str, Any], words: str
) -> None:
    """Of two sizes one is too many, and the shape is called as it is in a sentence."""
    answer = _outlines(studio, "1/4", shape)
    assert words in answer.json["errors"][0]["detail"]


def test_field_that_no_shape_has_is_answered_with_those_that_it_has(studio: Studio) -> None:
    """A half-square triangle has no `leg`; its sizes are `side` and `long_side`."""
    answer = _outlines(studio, "1/4", {"kind": "half_square_triangle", "leg": 2})
    (fault,) = (each for each in answer.json["errors"] if each["pointer"].endswith("leg"))
    assert "`side`" in fault["detail"]
    assert "`long_side`" in fault["detail"]
