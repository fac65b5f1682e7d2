"""Nine shapes on a pen's board, twice: one sheet, and the same zip to the last byte."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import pytest

from tests.jobs import foreign, names
from tests.jobs.studio import Studio
from tests.short_form import short_form

REQUEST: dict[str, Any] = {
    "title": "Chart room set",
    "units": "mm",
    names.DOCUMENTS: [],
    "pieces": [
        {
            "id": "flag",
            "shape": {
                "kind": "custom",
                "points": [
                    [5, 0],
                    [30, 0],
                    [30, 12, 0.41421356237309503],
                    [22, 20],
                    [0, 20],
                    [0, 5],
                    [5, 5],
                ],
            },
            "quantity": 3,
            "seam_allowance": "3 mm",
            "mirror": True,
            "seam_line": "score",
            "match_marks": True,
            "grain_arrow": True,
            "label": "B7",
        },
        {
            "id": "hst",
            "shape": {"kind": "half_square_triangle", "long_side": "50 mm"},
            "quantity": 2,
            "seam_allowance": "1/4 in",
            "seam_line": "mark",
            "match_marks": True,
            "grain_arrow": True,
            "label": "B7",
        },
        {
            "id": "tumb",
            "shape": {
                "kind": "tumbler",
                "top_width": "30 mm",
                "bottom_width": "20 mm",
                "height": "35 mm",
            },
            "quantity": 2,
            "seam_allowance": "1/4 in",
            "seam_line": "score",
            "match_marks": True,
            "grain_arrow": True,
            "label": "B7",
        },
        {
            "id": "clam",
            "shape": {"kind": "clamshell", "width": "40 mm"},
            "quantity": 2,
            "seam_allowance": "1/4 in",
            "corners": {"kind": "blunt"},
            "seam_line": "score",
            "match_marks": True,
            "grain_arrow": True,
            "label": "B7",
        },
        {
            "id": "apple",
            "shape": {"kind": "apple_core", "length": "60 mm"},
            "quantity": 2,
            "seam_allowance": "1/4 in",
            "seam_line": "score",
            "match_marks": True,
            "grain_arrow": True,
            "label": "B7",
            "removal_hole": True,
        },
        {
            "id": "dpie",
            "shape": {"kind": "custom", "points": [[0, 0], [35, 0, 0.41421356237309503], [0, 35]]},
            "quantity": 2,
            "seam_allowance": "1/4 in",
        },
        {
            "id": "dell",
            "shape": {
                "kind": "custom",
                "points": [[35, 0], [50, 0], [50, 50], [0, 50], [0, 35, -0.41421356237309503]],
            },
            "quantity": 2,
            "seam_allowance": "1/4 in",
        },
        {
            "id": "circ",
            "shape": {"kind": "circle", "diameter": "30 mm"},
            "quantity": 1,
            "seam_allowance": "1/4 in",
            "removal_hole": True,
        },
        {
            "id": "para",
            "shape": {"kind": "parallelogram", "base": "40 mm", "side": "25 mm", "angle_deg": 52.0},
            "quantity": 2,
            "seam_allowance": "1/4 in",
            "mirror": True,
            "grain": [0, 17.5, 180],
        },
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "pen"},
                "bed": {"width": 300, "height": 260},
                "formats": {
                    "dxf": {"turn_deg": 90, "origin": "lower-right"},
                    "hpgl": {"mirror": "x", "origin": "lower-right"},
                },
            },
            "formats": ["svg", "dxf", "hpgl"],
        },
        {
            "cut": "patch",
            "cutter": {
                "tool": {"kind": "pen"},
                "bed": {"width": 300, "height": 260},
                "formats": {
                    "dxf": {"turn_deg": 90, "origin": "lower-right"},
                    "hpgl": {"mirror": "x", "origin": "lower-right"},
                },
            },
            "formats": ["svg", "dxf", "hpgl"],
        },
    ],
}


@pytest.mark.parametrize(
    ("effort", "numbers"),
    short_form([("quick", [1]), ("quick", [1, 2]), ("normal", [1, 2])], [("quick", [1])]),
)
def test_same_bytes(studio: Studio, effort: str, numbers: list[int]) -> None:
    """18 pieces on a board of 300 x 260 mm: templates and patches take one load each.

    Patches' boxes: flags 36 x 26 (3), triangles about 65 x 33 (2), tumblers 43 x 48 (2),
    clamshells 53 x 53 (2), apple cores 60 x 73 (2), quarter circles 48 x 48 (2), their partners
    63 x 63 (2), a circle 43, parallelograms 72 x 33 (2). In shelves of 300: two apple cores
    and two partners (246 wide, 73 high) with the circle; clamshells, quarter circles and a tumbler
    (245, 53); a tumbler, parallelograms, triangles (317: one goes on) 48; flags and the last 36:
    210 of 260 mm. Outlines without a gap may touch, never overlap.
    The same request gives the same files, however busy the machine is.
    """
    runs = [{**run, "effort": effort} for run in REQUEST["runs"][: len(numbers)]]
    body = {**REQUEST, "documents": ["run_sheet"], "runs": runs}
    kit = studio.kit(body)
    as_zip = {"Accept": "application/zip"}
    made = studio.client.get(f"/v1/kits/{kit.payload['id']}", headers=as_zip)
    again = studio.client.post("/v1/kits", json=body, headers=as_zip)
    assert (made.status_code, again.status_code) == (200, 201)
    packed = []
    for answer in (made, again):
        with zipfile.ZipFile(io.BytesIO(answer.data)) as inside:
            packed.append({name: inside.read(name) for name in inside.namelist()})
    first, second = packed
    files = [name for name in first if name != "kit.json"]
    assert files
    assert {name: first[name] for name in files} == {name: second[name] for name in files}
    cuts = {1: "template", 2: "patch"}
    stated = [f"Run {number}: {cuts[number]}" for number in numbers] if len(numbers) > 1 else []
    assert kit.sheet.says("300 x 260 mm", *stated)
    assert kit.sheet.counts("flag", 3, 3, 0)
    assert kit.sheet.counts("circ", 1, 1, 0)
    for run in kit.runs:
        assert run.load_count == 1
        assert sum(run.outlines.values()) == 18
        assert all(run.total(name) == (count, count, 0) for name, count in run.outlines.items())
    svg = foreign.svg(kit.run(1).loads[0].file("svg"))
    # Clamshell 40^2 / 2, apple core 2 x 30^2, circle 225 pi, quarter circle
    # 35^2 pi / 4, its partner, triangle 50^2 / 4, tumbler 35 x 25, parallelogram 1000 sin 52.
    areas = [800.0, 1800.0, 706.858, 962.113, 1537.887, 625.0, 875.0, 788.011]
    cells = [each.area for each in foreign.cells(svg)]
    for area in areas:
        assert any(each == pytest.approx(area, abs=0.5) for each in cells), area
    bounds = foreign.drawn(svg).bounds
    assert min(bounds) >= -1e-3
    assert bounds[2] <= 300.001
    assert bounds[3] <= 260.001
