"""Hatching tells fabrics apart in a picture and its legend alike."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient


@pytest.mark.parametrize("path", ["/v1/quilt-plans", "/v1/blocks"])
def test_hatching_has_one_slant_in_the_picture_and_its_legend(
    client: FlaskClient, path: str
) -> None:
    """A pattern turns with what it fills: all that is hatched lies in frames of one hand."""
    bodies: dict[str, Any] = {
        "/v1/quilt-plans": {
            "units": "in",
            "tiling": "tumbling_blocks",
            "side": 3,
            "quilt": {"width": 9, "length": 9},
            "colours": {"names": ["tide blue", "deep blue", "sea blue"]},
        },
        "/v1/blocks": {
            "units": "in",
            "paths": [
                {"points": [[0, 0], [1, 0], [1, 1], [0, 1]], "closed": True, "fabric": "tide blue"},
                {"points": [[1, 0], [2, 0], [2, 1], [1, 1]], "closed": True, "fabric": "deep blue"},
                {"points": [[2, 0], [3, 0], [3, 1], [2, 1]], "closed": True, "fabric": "sea blue"},
            ],
        },
    }
    answer = client.post(path, json=bodies[path])
    assert answer.status_code == 200, answer.get_data(as_text=True)
    root = ET.fromstring(answer.get_json()["picture"])  # noqa: S314 - our own text
    hands = list(_flipped(root, is_flipped=False))
    assert len(hands) >= 4
    assert set(hands) == {True}


def _flipped(element: ET.Element, *, is_flipped: bool) -> Iterator[bool]:
    """Yield of each hatched element whether its frame is mirrored."""
    is_flipped ^= "scale(1 -1)" in element.get("transform", "")
    if element.get("fill", "").startswith("url("):
        yield is_flipped
    for each in element:
        yield from _flipped(each, is_flipped=is_flipped)
