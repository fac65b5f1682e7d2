"""Kinds that share the lines of a beam: as far apart as it is wide, and cut by one line."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Json, Studio

#: Width of the beam, and a side of every piece, mm.
KERF, SIDE = 0.2, 30.0
#: The most that a start in the waste beside a closed line adds, mm.
LEADS = 1.0
#: A side of the line round a hexagon, and round a triangle or diamond, half the beam outside.
HEXAGON, TRIANGLE = SIDE + KERF / math.sqrt(3.0), SIDE + KERF * math.sqrt(3.0)
DIAMOND = SIDE + KERF / math.sin(math.radians(60.0))


def papers(counts: dict[str, int], width: float, height: float, **run: Any) -> Json:
    kinds = {"H": "hexagon", "T": "triangle", "D": "diamond_60"}
    return {
        "title": "Beacon papers",
        "units": "mm",
        "pieces": [
            {"id": name, "shape": {"kind": kinds[name], "side": SIDE}, "quantity": count}
            for name, count in counts.items()
        ],
        "runs": [
            {
                "cut": "template",
                "cutter": {
                    "tool": {"kind": "laser", "kerf": KERF},
                    "bed": {"width": width, "height": height},
                    "formats": {"gcode": {"head": "laser", "power": 400, "feed_mm_min": 1200}},
                },
                "common_line": True,
                "formats": ["gcode"],
                "material": {"name": "card", "kind": "card"},
            }
            | run
        ],
    }


@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_triangles_stand_in_the_notches_of_a_hexagon(studio: Studio, effort: str) -> None:
    """1 hexagon and 2 triangles of 30 mm in a strip as high as a hexagon and a beam.

    51.96 + 0.2 mm, and what a laser keeps free all round, 0.3 mm: 52.77 mm of bed. The triangles
    stand in the notches at one end of the hexagon, above and below, their tips a beam apart. From
    its middle to that of a triangle it is 25.98 + 8.66 mm and a beam, 34.84, and along the strip
    0.866 of that, 30.17; with half of either, 30 + 30.17 + 15 = 75.17 mm; a
    tenth of a millimetre more is allowed.
    Lines: 6 of 30.115 mm round the hexagon, 6 of 30.346 round the triangles, and two of the
    hexagon's are the triangles' own: 180.69 + 182.08 - 60.23 = 302.5 mm. Apart it would be 362.8.
    """
    along = math.sqrt(0.75) * (SIDE * math.sqrt(0.75) * 4.0 / 3.0 + KERF)
    run = studio.kit(papers({"H": 1, "T": 2}, 300.0, 52.77, effort=effort)).run()
    (load,) = run.loads
    assert load.payload["used"]["strip"]["width_mm"] <= 1.5 * SIDE + along + 0.1
    cut = 4 * HEXAGON + 6 * TRIANGLE
    drawn = sum(each.length for each in foreign.gcode(load.file("gcode")))
    assert drawn == pytest.approx(load.payload["cut_length_mm"], abs=0.5)
    assert cut - 0.1 <= load.payload["cut_length_mm"] <= cut + LEADS * 3


@pytest.mark.long  # the usual run has two kinds, and three in test_common_lines_of_kinds_by_hand
def test_papers_of_three_kinds(studio: Studio) -> None:
    """7 hexagons, 12 triangles and 9 diamonds of 30 mm on a card of 210 by 297 mm.

    Their lines are 42 x 30.115 + 36 x 30.346 + 36 x 30.231 = 3445.6 mm. Each kind by itself lies
    edge to edge: 7 hexagons in columns of 2, 3 and 2 share 12 edges, 12 triangles in two rows of 6
    share 10 and 3 between the rows at least, 9 diamonds of 3 by 3 share 12. That is
    12 x 30.115 + 13 x 30.346 + 12 x 30.231 = 1118.6 mm less, 2327. The three kinds mixed on less
    card shall not be cut along more than that.
    """
    counts = {"H": 7, "T": 12, "D": 9}
    material = {"name": "card", "kind": "card", "width": 210, "height": 297}
    run = studio.kit(papers(counts, 600.0, 400.0, material=material)).run()
    (load,) = run.loads
    assert load.outlines == counts
    whole = 42 * HEXAGON + 36 * TRIANGLE + 36 * DIAMOND
    apart = 12 * HEXAGON + 13 * TRIANGLE + 12 * DIAMOND
    assert load.payload["cut_length_mm"] <= whole - apart
    drawn = sum(each.length for each in foreign.gcode(load.file("gcode")))
    assert drawn == pytest.approx(load.payload["cut_length_mm"], abs=0.5)


def test_holes_have_their_size_where_outlines_lie_edge_to_edge(studio: Studio) -> None:
    """4 squares of 50 mm edge to edge in one row, each with its removal hole of 6 mm.

    Between the squares there is no room for the beam of 0.2 mm: their 13 lines of 50 mm are cut
    where they are, and the answer says what that costs. In a hole there is room: the beam's middle
    runs round 5.8 mm, and 6 mm come out.
    """
    body = papers({}, 300.0, 300.0, gap=0, formats=["svg"])
    shape = {"kind": "square", "side": 50}
    body["pieces"] = [{"id": "Q", "shape": shape, "quantity": 4, "removal_hole": True}]
    del body["runs"][0]["cutter"]["formats"]
    kit = studio.kit(body)
    (load,) = kit.run().loads
    assert "come out 0.1 mm short on every side" in " ".join(kit.payload["warnings"])
    holes = 4 * math.pi * (6.0 - KERF)
    assert 650 + holes <= load.payload["cut_length_mm"] <= 650 + holes + LEADS * 8
    round_ones = [each for each in foreign.svg(load.file("svg")) if len(each.points) > 12]
    assert len(round_ones) == 4
    for each in round_ones:
        for along in zip(*each.points, strict=True):
            assert max(along) - min(along) == pytest.approx(6.0 - KERF, abs=0.01)


def test_a_gap_wider_than_the_beam_has_no_common_lines(studio: Studio) -> None:
    """7 hexagons 1 mm apart, with a beam of 0.2 mm: nothing is cut once.

    The answer says so, and what would be right. 7 hexagons have 42 lines of 30.115 mm, 1264.8 mm.
    """
    kit = studio.kit(papers({"H": 7}, 300.0, 300.0, gap=1))
    (load,) = kit.run().loads
    assert 42 * HEXAGON <= load.payload["cut_length_mm"] <= 42 * HEXAGON + 7 * LEADS
    assert "pieces 1 mm apart share none" in " ".join(kit.payload["warnings"])
    answer = studio.calculated("/v1/layouts", papers({"H": 7}, 300.0, 300.0, gap=1))
    (changes,) = [
        each["changes"] for each in answer["cures"] if "common lines" in each["warning"].lower()
    ]
    assert changes == [{"op": "add", "path": "/runs/0/gap", "value": "0.2 mm"}]


@pytest.mark.parametrize(("triangles", "squares"), [(20, 9), (10, 2), (16, 1)])
def test_a_lead_in_keeps_off_lines_in_common(studio: Studio, triangles: int, squares: int) -> None:
    """Triangles of 60 mm in strips share lines, which are cut as open paths; squares stand alone.

    A square's lead-in of up to 1.5 mm may not run into a line of the strips beside it: it is
    shorter there, or left out. All pieces are cut, and nothing is cut into one.
    """
    pieces = [
        {"id": "S", "shape": {"kind": "triangle", "side": 60}, "quantity": triangles},
        {"id": "Q", "shape": {"kind": "square", "side": 50}, "quantity": squares},
    ]
    body = {**papers({}, 300.0, 250.0, gap=0.3, effort="quick"), "pieces": pieces}
    body["runs"][0]["cutter"] |= {
        "tool": {"kind": "laser", "kerf": 0.3},
        "margins": dict.fromkeys(("left", "right", "top", "bottom"), 5),
    }
    kit = studio.kit(body)
    loads = kit.run().loads
    assert sum(each.outlines.get("S", 0) * each.repeats for each in loads) == triangles
    assert sum(each.outlines.get("Q", 0) * each.repeats for each in loads) == squares
