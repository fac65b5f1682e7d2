"""Our own files, read by the readers of other people's drawings: every outline comes back."""

from __future__ import annotations

from typing import Any

import pytest

from adapters import registry
from geometry.measure import area
from geometry.shapes.curves import TOLERANCE
from service.drawings.inspect import inspect_file
from service.requests.inspections import InspectionRequest
from tests.roundtrip import plans

CASES: dict[str, tuple[str, dict[str, Any]]] = {
    "svg": ("svg", {}),
    "dxf": ("dxf", {}),
    "dxf exploded": ("dxf", {"entities": "exploded"}),
    "hpgl": ("hpgl", {}),
    "hpgl AA": ("hpgl", {"arcs": "AA"}),
    "gcode": ("gcode", {}),
    "gcode chords": ("gcode", {"arcs": "chords"}),
    "plan": ("plan", {}),
}


@pytest.mark.parametrize("case", CASES)
def test_every_outline_comes_back(case: str) -> None:
    name, more = CASES[case]
    settings = {**plans.SETTINGS.get(name, {}), **more}
    data = registry.get(name).write(plans.plan(), settings).data
    found = inspect_file(data, InspectionRequest(None, None, "", TOLERANCE, ""), None)
    assert found.format == name
    areas = sorted(each.area_mm2 for each in found.outlines)
    # The flag is also drawn as a mark.
    wanted = sorted(area(outline) for outline in (*plans.pieces().values(), plans.FLAG))
    # Chords lie 0.005 mm inside arcs, plotter units are 0.025 mm; the rest has four decimals.
    is_coarse = name == "hpgl" or "chords" in case
    assert areas == pytest.approx(
        wanted, rel=2e-3 if is_coarse else 1e-5, abs=0.1 if is_coarse else 1e-9
    )
