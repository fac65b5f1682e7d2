"""Hatching tells fabrics apart in a picture and its legend alike."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("path", ["/v1/quilt-plans", "/v1/blocks"])
def test_hatching_has_one_slant_in_the_picture_and_its_legend(
    client: FlaskClient, path: str
) -> None:
    """Pieces and swatch of a fabric are filled by the same lines, in one frame."""
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
    hatched = list(_hatched(root, is_flipped=False))
    # Of three blues two are hatched, in the pieces and in the legend at once.
    assert len(hatched) >= 2
    assert all(is_flipped for is_flipped, _ in hatched)
    assert sum(outlines.count("M") for _, outlines in hatched) >= 4


def _hatched(
    element: ET.Element, *, is_flipped: bool, clips: dict[str, str] | None = None
) -> Iterator[tuple[bool, str]]:
    """Yield of each hatching whether its frame is mirrored, and the outlines that it fills."""
    if clips is None:
        clips = {
            f"url(#{each.get('id')})": (each[0].get("d") or "")
            for each in element.iter(f"{SVG}clipPath")
        }
    is_flipped ^= "scale(1 -1)" in element.get("transform", "")
    if element.tag == f"{SVG}path" and element.get("clip-path") in clips:
        yield is_flipped, clips[element.get("clip-path", "")]
    for each in element:
        yield from _hatched(each, is_flipped=is_flipped, clips=clips)
