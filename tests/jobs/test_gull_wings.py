"""Triangles through two plies under a blade set to four angles, and two of them cut again."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Gull wings",
    "units": "in",
    "pieces": [
        {
            "id": "T",
            "shape": {"kind": "half_square_triangle", "side": 3},
            "seam_allowance": "1/4",
            "quantity": 32,
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "layers": 2,
            "effort": "quick",
            "one_file_per": "station",
            "ties": {"count": 1, "width": "0.5 mm"},
            "cutter": {
                "tool": {
                    "kind": "indexed_blade",
                    "positions_deg": [0, 45, 90, 135],
                    "blade_width": "0.8 mm",
                    "step": "0.3 mm",
                },
                "bed": {"width": 10, "height": 6},
                "margins": {"left": "1/2", "right": "1/2", "top": "1/2", "bottom": "1 1/4"},
            },
            "formats": ["hpgl", "svg"],
            "material": {"name": "grey linen", "kind": "stiffened_fabric"},
        }
    ],
}


def test_gull_wings(studio: Studio) -> None:
    """The hoop leaves 9 x 4 1/4 in. A patch has legs of 3 + 1/4 x (cot 45 + cot 22.5) = 3.8536 in.

    Two make a square with 2 mm between their long sides: 3.8536 + 0.0787 x root 2 = 3.965 in, and
    two such squares 3.965 x 2 + 0.079 = 8.01 of 9 in; a fifth triangle needs 3.85 in more, and a
    second row 7.7 of 4 1/4 in. 4 outlines in 2 plies are 8 pieces: 32 take 4 loads, cut in two
    alternating orders so that the blade is never turned back. Legs at 0 and 90 degrees, long sides
    at 45 or 135: three angles, so a load has 3 files a format and 4 stops (hoop and set, turn,
    turn, snip), 16 in all. Each outline is 3.8536 x (2 + root 2) = 13.157 in = 334.19 mm round;
    16 of them 5347.0 mm, less one tie of 0.5 mm and, where two stabs of 0.8 mm meet at a corner,
    no more than a blade's width for each of 3 edges.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert [(load.repeats, load.outlines) for load in run.loads] == [(2, {"T": 4})] * 2
    assert run.total("T") == (32, 32, 0)
    assert kit.payload["totals"]["stops"] == 16
    assert kit.payload["totals"]["loads"] == 4
    assert 5347.0 - 16 * (0.5 + 3 * 0.8) <= kit.payload["totals"]["cut_length_mm"] <= 5347.0
    first, second = run.loads
    assert first.file_names == [
        f"1-patch-grey-linen-1-station-{number}.{ending}"
        for ending in ("plt", "svg")
        for number in (1, 2, 3)
    ]
    angles = [
        [stop.get("angle_deg") for stop in load.stops if "angle_deg" in stop]
        for load in (first, second)
    ]
    turned = [[angle for angle in each if angle is not None] for each in angles]
    assert turned[0] == turned[1][::-1]
    assert {0, 90} < set(turned[0])
    assert len(turned[0]) == 3
    lines = [
        line for each in first.files if each.format == "svg" for line in foreign.svg(each.data)
    ]
    hulls = list(foreign.hulls(lines).values())
    # 3.8536^2 / 2 = 7.4249 in2 = 4790.2 mm2, less what stabs leave at the corners.
    assert [each.area for each in hulls] == pytest.approx([4790.2] * 4, rel=0.02)
    left, bottom, right, top = foreign.drawn(lines).bounds
    assert left >= 12.7 - 0.01
    assert bottom >= 31.75 - 0.01
    assert right <= 241.3 + 0.01
    assert top <= 139.7 + 0.01
    assert kit.sheet.together("Hoop grey linen", "2 layers")
    assert kit.sheet.counts("T", 32, 32, 0)


def test_two_wings_again(studio: Studio) -> None:
    """Two lost patches from a scrap of 5 x 4 1/2 in, in one ply: 2 outlines, one load, no spare.

    The scrap less 2 mm on each side is 4.84 x 4.34 in: one square of two triangles, 3.965 in.
    """
    kit = studio.kit(REQUEST)
    scrap = {"name": "linen scrap", "kind": "stiffened_fabric", "width": 5, "height": "4 1/2"}
    again = studio.recut(kit, 1, {"T": 2}, layers=1, material=scrap)
    run = again.run()
    assert [(load.repeats, load.outlines) for load in run.loads] == [(1, {"T": 2})]
    assert run.total("T") == (2, 2, 0)
    assert again.piece("T") == kit.piece("T") | {"quantity": 2}
    assert run.loads[0].file_names[0] == "recut-1-patch-linen-scrap-1-station-1.plt"
    assert again.sheet.says("Recut")
    assert "2 layers" not in again.sheet.text
