"""A hexagon quilt in centimetres: papers and two cloths with accents in their names."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

W = 1.5155444566227676
TRIMMED = [[-W, -1.75], [W, 0.0], [W, 1.75], [-W, 1.75]]


def pieces() -> list[dict[str, Any]]:
    hexagon = {"kind": "hexagon", "side": 3.5}
    flat = {"kind": "half_hexagon_flat", "side": 3.5}
    rows: list[tuple[str, dict[str, Any], int]] = [
        ("A", hexagon, 456),
        ("B", hexagon, 437),
        ("C", {"kind": "custom", "points": TRIMMED}, 1),
        ("D", {"kind": "custom", "points": [[-x, y] for x, y in TRIMMED[::-1]]}, 1),
        ("E", {"kind": "half_hexagon", "side": 3.5}, 38),
        ("F", flat, 24),
        ("G", flat, 23),
    ]
    return [
        {"id": name, "shape": shape, "quantity": quantity, "seam_allowance": "0.75"}
        for name, shape, quantity in rows
    ]


def run(cut: str, cloth: str, kind: str, *names: str) -> dict[str, Any]:
    found: dict[str, Any] = {
        "cut": cut,
        "cutter": "drag-blade-sheet",
        "formats": ["svg"],
        "material": {"name": cloth, "kind": kind},
        "effort": "quick",
    }
    return found | ({"pieces": [{"id": name} for name in names]} if names else {})


REQUEST = {
    "title": "Überwurf Sechsecke – für Łucja",
    "units": "cm",
    "pieces": pieces(),
    "runs": [
        run("template", "card", "card"),
        run("patch", "grün", "stiffened_fabric", "A", "F"),
        run("patch", "weiß", "stiffened_fabric", "B", "C", "D", "E", "G"),
    ],
}


@pytest.mark.long
def test_metric_quilt_kit(studio: Studio) -> None:
    """456 + 437 + 1 + 1 + 38 + 24 + 23 = 980 papers; 456 + 24 = 480 green, 500 white patches.

    The mat leaves 292.1 mm each way, gap 1. Papers: 60.62 mm across flats, 70 across corners:
    4 in a row (4 x 61.62 - 1 = 245.5, the next row 30.81 aside 276.3), rows 52.5 + 0.87 = 53.37
    apart, (292.1 - 70) / 53.37 + 1 = 5: 20 a sheet. All others fit where a hexagon does, so
    980 / 20 = 49 sheets by ruler.
    Patches, 0.75 cm more each way: 75.62 and 87.32: 3 in a row, (292.1 - 87.32) / 66.36 + 1 = 4
    rows: 12 a sheet; 480 / 12 = 40 sheets of green, 500 / 12 = 41.7, 42 of white.
    File names count runs from 1 and name the cloth in plain letters.
    """
    kit = studio.kit(REQUEST)
    assert [run.payload["cut"] for run in kit.runs] == ["template", "patch", "patch"]
    for number, bound, wanted in (
        (1, 49, {"A": 456, "B": 437, "C": 1, "D": 1, "E": 38, "F": 24, "G": 23}),
        (2, 40, {"A": 456, "F": 24}),
        (3, 42, {"B": 437, "C": 1, "D": 1, "E": 38, "G": 23}),
    ):
        run = kit.run(number)
        assert run.outlines == wanted
        assert run.load_count <= bound, number
        for name, count in wanted.items():
            assert run.total(name) == (count, count, 0)
            assert kit.sheet.counts(name, count, count, 0)
        names = [name for load in run.loads for name in load.file_names]
        cloth = {1: "template-card", 2: "patch-gr", 3: "patch-wei"}[number]
        for place, name in enumerate(names, 1):
            assert name.isascii()
            assert name.startswith(f"{number}-{cloth}")
            assert name.endswith(f"-{place}.svg")
        for load in run.loads[:2]:
            left, bottom, right, top = foreign.drawn(foreign.svg(load.file("svg"))).bounds
            assert min(left, bottom) >= 6.35 - 0.25 - 1e-3
            assert max(right, top) <= 298.45 + 0.25 + 1e-3
    every = [name for run in kit.runs for load in run.loads for name in load.file_names]
    assert len(set(every)) == len(every)
    assert kit.sheet.says("run 1", "run 2", "run 3", "grün", "weiß", every[0], every[-1])
    assert kit.sheet.is_silent_about("run 0")
    # Two loads on square mats share a page: their pictures are large enough to read.
    pages = sum(-(-len(run.loads) // 2) for run in kit.runs)
    assert len(kit.sheet.page_sizes_mm) <= pages + 5
    # Named in its own run's heading.
    assert kit.sheet.together("run 2", "grün", within=40)
    assert kit.sheet.together("run 3", "weiß", within=40)
