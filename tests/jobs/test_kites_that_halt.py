"""Kites of the octagon by a blade set by hand: G-code halts for its turns, a PDF cannot."""

from __future__ import annotations

import math

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Kit, Studio


@pytest.fixture
def kit(studio: Studio) -> Kit:
    return studio.kit(
        {
            "title": "Station kites",
            "units": "mm",
            "pieces": [
                {
                    "id": "K",
                    "shape": {"kind": "octagon_kite", "side": 40},
                    "quantity": 16,
                    "seam_allowance": 6,
                }
            ],
            "runs": [
                {
                    "cut": "patch",
                    "cutter": {
                        "tool": {
                            "kind": "indexed_blade",
                            "positions_deg": [0, 45, 90, 135],
                            "blade_width": 0.8,
                            "step": 0.3,
                        },
                        "bed": {"width": 300, "height": 220},
                        "margins": {"left": 10, "right": 10, "top": 10, "bottom": 25},
                        "formats": {"gcode": {"head": "knife", "depth_mm": -2, "feed_mm_min": 600}},
                    },
                    "gap": 3,
                    "layers": 2,
                    "ties": {"count": 0},
                    "formats": ["gcode", "pdf"],
                    "material": {"name": "sage felt", "kind": "stiffened_fabric"},
                }
            ],
        }
    )


def test_eight_outlines_at_four_angles(kit: Kit) -> None:
    """Sixteen kites in two layers are eight outlines, the octagon's side 40 mm, allowance 6 mm.

    A kite has two sides of 1.20711 x 40 = 48.284 and two of 20 mm, angles 45, 90, 135, 90
    (handbook 1.2). A side grows by 6 (cot(A/2) + cot(B/2)): by 6 (2.41421 + 1) = 20.485 beside the
    tip, by 6 (1 + 0.41421) = 8.485 beside the blunt corner: 68.770 and 28.485 mm. The sides lie at
    0, 45, 90 and 135 degrees, so four settings of the blade cut them without a mismatch, and every
    line is straight.
    """
    (load,) = kit.run().loads
    assert load.outlines == {"K": 8}
    assert load.pieces == {"K": 16}
    assert all(edge["mismatch_deg"] < 1e-6 for edge in load.payload["edges"])
    lengths = sorted(
        math.dist(line.points[0], line.points[-1]) for line in foreign.gcode(load.file("gcode"))
    )
    assert len(lengths) == 32
    assert lengths[:16] == pytest.approx([28.485] * 16, abs=0.002)
    assert lengths[16:] == pytest.approx([68.770] * 16, abs=0.002)


def test_the_program_halts_and_the_sheet_says_so(kit: Kit) -> None:
    """The blade is set for the load and turned three times: four halts.

    So the sheet must not say of that file that the machine runs on. A PDF holds no halts, so there
    are four PDF files, one for each blade angle, and nobody counts strokes.
    """
    (load,) = kit.run().loads
    assert foreign.gcode_halts(load.file("gcode")) == len(load.stops) == 4
    kit.sheet.is_silent_about("The file does not stop the machine")
    assert [
        each.partition("-stiffened")[0].partition("sage-felt-")[2] for each in load.file_names
    ] == [
        "1.ngc",
        *(f"1-station-{number}.pdf" for number in (1, 2, 3, 4)),
    ]
    kit.sheet.is_silent_about("after stroke")
    for number in (2, 3, 4):
        assert kit.sheet.together(
            "stops by itself", "file ends", "start it again", f"1-station-{number}.pdf", within=140
        )


def test_straight_lines_need_no_word_on_arcs(kit: Kit) -> None:
    assert "arcs" not in kit.warnings
    kit.sheet.is_silent_about("arcs")
