"""Vinyl and unknown stuff under a laser are refused; with a data sheet's word they are cut."""

from __future__ import annotations

from typing import Any

from tests.jobs import foreign
from tests.jobs.studio import Studio


def request(kind: str, **more: Any) -> dict[str, Any]:
    return {
        "title": "Pennants",
        "units": "mm",
        "pieces": [{"id": "P", "shape": {"kind": "triangle", "side": 60}, "quantity": 6}],
        "runs": [
            {
                "cut": "template",
                "cutter": "laser-bed",
                "material": {"name": "pennant stuff", "kind": kind, **more},
                "formats": ["svg"],
            }
        ],
    }


def test_vinyl_under_a_beam(studio: Studio) -> None:
    """Public lists of forbidden materials name vinyl first: its fumes harm lungs and machine.

    Refused for vinyl and for a material that is not named; the pointer leads to the material. With
    "laser_safe" (after its safety data sheet) it is cut, the caution first.
    """
    for kind in ("vinyl", "other"):
        problem = studio.refused(request(kind))
        assert any(each["pointer"].startswith("#/runs/0/material") for each in problem["errors"])
    kit = studio.kit(request("other", laser_safe=True))
    assert kit.run().total("P") == (6, 6, 0)
    assert kit.sheet.says("laser", "pennant stuff")
    (load,) = kit.run().loads
    assert load.repeats == 1
    assert len(foreign.hulls(foreign.svg(load.file("svg")))) == 6
    assert load.file_names == ["1-template-pennant-stuff-1.svg"]
    knife = request("vinyl")
    knife["runs"][0]["cutter"] = "drag-blade-sheet"
    kit = studio.kit(knife)
    assert kit.run().total("P") == (6, 6, 0)
    assert "vinyl" in kit.cautions.lower()
