"""A hexagon larger than the mat: refused, with the largest that fits."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs.studio import Studio

REQUEST: dict[str, Any] = {
    "title": "Lighthouse centre",
    "units": "in",
    "pieces": [{"id": "A", "shape": {"kind": "hexagon", "across_flats": "12"}}],
    "runs": [{"cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg"]}],
}


def test_too_large(studio: Studio) -> None:
    """A square of side S holds a regular hexagon of side S / (2 cos 15 deg), turned 15 degrees.

    For S = 2.5 that is 1.294095. The mat leaves its margins 12 - 2 x 1/4 = 11.5 in, and the axis,
    0.25 mm ahead of the blade's tip, keeps to them: 292.1 - 0.5 = 291.6 mm = 11.4803 in. Side
    0.517638 x 11.4803 = 5.94265 in, across flats 1.732051 x 5.94265 = 10.2930 in, 0.857747 of the
    12 requested. In sixteenths, rounded down so that it fits: 10 4/16, 10 1/4 in.
    Turned so, 12 in across flats (side 6.9282) needs 13.3843 in = 339.96 mm: 48.36 mm too much.
    """
    problem = studio.refused(REQUEST)
    assert problem["type"] == "/problems#does-not-fit"
    assert problem["piece"] == "A"
    assert problem["short_by_mm"] == pytest.approx(48.36, abs=0.01)
    assert problem["available"]["width_mm"] == pytest.approx(291.6, abs=1e-6)
    scale = 291.6 / 25.4 / (2.0 * math.cos(math.radians(15.0))) * math.sqrt(3.0) / 12.0
    assert problem["largest"]["scale"] == pytest.approx(scale, abs=1e-4)
    sized = problem["largest"]["across_flats_mm"] / 25.4
    assert 10.25 - 1e-6 <= sized <= 10.2930
    said = " ".join([problem["detail"], *(each["detail"] for each in problem["errors"])])
    assert "10 1/4 in across flats" in said
    for each in problem["errors"]:
        found: Any = REQUEST
        for key in each["pointer"].removeprefix("#/").split("/"):
            found = found[int(key) if isinstance(found, list) else key]
