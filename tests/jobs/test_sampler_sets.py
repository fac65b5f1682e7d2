"""A sampler of six shapes in whole sets, papers and doubled felt, in either order of runs."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Kit, Studio
from tests.short_form import short_form

SETS = {"hexagon": 6, "half-hex": 3, "kite": 3, "tumbler": 2, "apple": 2, "clam": 3}
SHAPES: dict[str, dict[str, str]] = {
    "hexagon": {"kind": "hexagon", "side": "1"},
    "half-hex": {"kind": "half_hexagon", "side": "1"},
    "kite": {"kind": "kite", "side": "2"},
    "tumbler": {"kind": "tumbler", "top_width": "3", "bottom_width": "2", "height": "3 1/2"},
    "apple": {"kind": "apple_core", "length": "3"},
    "clam": {"kind": "clamshell", "width": "2"},
}
PAPERS = {
    "cut": "template",
    "cutter": "laser-bed",
    "material": {"name": "card 220 g", "kind": "card"},
    "formats": ["svg", "dxf"],
    "effort": "quick",
    "sets": True,
}
FELT = {
    "cut": "patch",
    "cutter": "laser-bed",
    "material": {"name": "felt", "kind": "fabric"},
    "formats": ["svg"],
    "effort": "quick",
    "sets": True,
    "layers": 2,
}


def request(sets: int, *runs: dict[str, Any]) -> dict[str, Any]:
    return {
        "title": "Harbour sampler",
        "units": "in",
        "pieces": [
            {"id": name, "shape": shape, "quantity": sets * SETS[name], "seam_allowance": "1/4"}
            | ({"corners": {"kind": "blunt"}} if name == "clam" else {})
            for name, shape in SHAPES.items()
        ],
        "runs": list(runs),
    }


@pytest.mark.parametrize("papers_first", [True, False], ids=["papers-first", "felt-first"])
@pytest.mark.parametrize(
    ("sets", "papers_loads", "felt_loads"),
    short_form([(6, (1, 2), (1, 2)), (40, (7, 14), (7, 10))], [(6, (1, 2), (1, 2))]),
)
def test_sampler_sets(
    studio: Studio,
    sets: int,
    papers_loads: tuple[int, int],
    felt_loads: tuple[int, int],
    papers_first: bool,
) -> None:
    """240, 120, 120, 80, 80 and 120 pieces are 40 sets of 6, 3, 3, 2, 2 and 3.

    The bed leaves 590 x 390 mm (the beam takes 0.4 mm of each side). A set of papers has 15.59 +
    3.90 + 5.20 + 17.5 + 9 + 6 = 57.18 in2 = 36,893 mm2: at most 6 on 230,100, so 7 loads. Three
    sets in shelves of boxes, gap 0.5: 6 tumblers 88.9 mm high (6 x 76.7 = 460 wide), 6 apple
    cores 53.9, 18 hexagons in two rows of 44, 9 halves 22, 9 kites 50.8, 9 clamshells 50.8 (462
    wide): 354.4 + 6 x 0.5 = 357.4 of 389: 40 / 3 = 14 loads by ruler. Felt in 2 layers: 20 sets
    of outlines. A patch set has 25.89 + 8.51 + 10.10 + 24.04 + 14.21 + 11.46 = 94.2 in2 = 60,781
    mm2: at most 3, 7 loads. Two sets in shelves: 4 tumblers and 2 apple cores 101.6, 2 apple
    cores and 6 clamshells 66.6, 8 hexagons 56.7, 4 hexagons and 4 kites 71, 2 kites and 6 halves
    71: 366.9 + 2.5 = 369.4 of 389: 10 loads by ruler. 6 sets are at most 6 / 3 = 2 loads of
    papers, and 3 sets of outlines 2 of felt. The order of the runs changes nothing.
    """
    runs = (PAPERS, FELT) if papers_first else (FELT, PAPERS)
    kit = studio.kit(request(sets, *runs))
    papers, felt = kit.runs if papers_first else kit.runs[::-1]
    assert papers.outlines == {name: sets * each for name, each in SETS.items()}
    assert felt.outlines == {name: sets // 2 * each for name, each in SETS.items()}
    assert papers_loads[0] <= papers.load_count <= papers_loads[1]
    assert felt_loads[0] <= felt.load_count <= felt_loads[1]
    for run in (papers, felt):
        for load in run.loads:
            whole = load.outlines["hexagon"] // 6
            assert load.outlines == {name: whole * each for name, each in SETS.items()}
    for name, each in SETS.items():
        assert papers.total(name) == (sets * each, sets * each, 0)
        assert felt.total(name) == (sets * each, sets * each, 0)
    _check_files(kit)
    assert kit.sheet.counts("hexagon", 6 * sets, 6 * sets, 0)
    assert kit.sheet.says("felt", "card 220 g", "2 layers")


def _check_files(kit: Kit) -> None:
    for run in kit.runs:
        for load in run.loads:
            cells = foreign.cells(foreign.svg(load.file("svg")))
            # Ties part a felt outline into several strokes; papers stay whole.
            if run.payload["cut"] == "template":
                assert len(cells) == sum(load.outlines.values())
                # The line runs 0.1 mm outside, at a corner of 60 degrees 0.1 / sin 30 = 0.2; two
                # corners may face each other.
                assert foreign.nearest(cells) >= 0.5 - 2 * 0.2 - 0.001
            left, bottom, right, top = foreign.drawn(foreign.svg(load.file("svg"))).bounds
            assert min(left, bottom) >= 5.0 - 1e-3
            assert right <= 595.0 + 1e-3
            assert top <= 395.0 + 1e-3
