"""A run that needs more loads than there is material for says so."""

from __future__ import annotations

from typing import Any

import pytest

from service.tools.built_in import BUILT_IN
from tests import requested


@pytest.mark.parametrize(("max_loads", "warned"), [(1, True), (2, False)])
def test_more_loads_than_material(max_loads: int, warned: bool) -> None:
    """Squares of 100 mm on a sheet of 210 by 230 mm less 10 mm at each side: 2 on a load."""
    run: dict[str, Any] = {"cut": "template", "cutter": "pen-sheet", "max_loads": max_loads}
    shape = {"kind": "square", "side": "100 mm"}
    pieces = [{"id": "A", "shape": shape, "quantity": 4, "seam_allowance": "0 mm"}]
    bed = {**BUILT_IN["pen-sheet"], "bed": {"width": "210 mm", "height": "230 mm"}}
    body = {"title": "Squares", "units": "mm", "pieces": pieces, "runs": [run]}
    warnings = requested.layouts(body, {"pen-sheet": bed}.get).answer["warnings"]
    assert any("2 loads are needed" in each for each in warnings) == warned
