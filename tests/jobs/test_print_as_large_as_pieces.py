"""Squares as large as the repeat of a print: measured, shrunk, and with a gap."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs import foreign, names
from tests.jobs.studio import Studio

#: A light house every 100 mm both ways, in the middle of its repeat.
REPEAT = {"repeat_width": 100, "repeat_height": 100, "positions": [{"x": 50, "y": 50}]}
TURN = math.radians(0.4)


def _body(
    finished: float, sheet: float, measured: list[dict[str, Any]] | None = None, **run: Any
) -> dict[str, Any]:
    """Return a request of squares with 10 mm allowance all round, as many as there are motifs."""
    printed = REPEAT if measured is None else {**REPEAT, "measured": measured}
    return {
        "title": "Lighthouses",
        "units": "mm",
        "pieces": [
            {
                "id": "A",
                "shape": {"kind": "square", "side": finished},
                "seam_allowance": 10,
                "quantity": "max",
                "grain": "fixed",
                "motif": True,
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "gap": 0,
                "formats": ["svg"],
                "cutter": {"tool": {"kind": "pen"}, "bed": {"width": sheet, "height": sheet}},
                "material": {
                    "name": "lighthouse print",
                    "kind": "fabric",
                    "width": sheet,
                    "height": sheet,
                    "edge_clearance": 0,
                    "motif": printed,
                },
                **run,
            }
        ],
    }


def _motif(column: int, row: int, x: float, y: float) -> dict[str, Any]:
    return {"column": column, "row": row, "x": x, "y": y}


def _turned(column: int, row: int) -> dict[str, Any]:
    """Return a motif of cloth turned by 0.4 degrees from (3, 2), as it is read to 0.01 mm."""
    x, y = 100.0 * column + 50.0, 100.0 * row + 50.0
    across = 3.0 + x * math.cos(TURN) - y * math.sin(TURN)
    up = 2.0 + x * math.sin(TURN) + y * math.cos(TURN)
    return _motif(column, row, round(across, 2), round(up, 2))


@pytest.mark.parametrize("more", [[], [(3, 3)]], ids=["three measured", "four measured"])
def test_measured_to_a_hundredth(studio: Studio, more: list[tuple[int, int]]) -> None:
    """80 mm finished are 100 mm as cut, as the repeat: all 16 motifs of 4 by 4 are cut.

    Turned by 0.4 degrees a square reaches 50 (cos + sin) = 50.35 mm each way. The motifs' middles
    are from 3 + 50 cos - 350 sin = 50.6 and 2 + 50 cos + 50 sin = 52.3 to 352.6 and 354.4 mm: on
    420 by 420 mm from 0.2 to 404.8, and a fifth column or row would end 100 mm further. Each
    coordinate is at most 0.005 mm off, so each motif at most 0.0071: no stretch shows.
    """
    measured = [_turned(*at) for at in [(0, 0), (3, 0), (0, 3), *more]]
    kit = studio.kit(_body(80, 420, measured))
    run = kit.run()
    (load,) = run.loads
    assert load.outlines == {"A": 16}
    fit = run.payload["motif"]["fit"]
    assert fit["turn_deg"] == pytest.approx(0.4, abs=0.002)
    assert (fit["width_share"], fit["height_share"], fit["skew_deg"]) == (1.0, 1.0, 0.0)
    assert 0.0 < fit["residual_mm"] == fit["printed_residual_mm"] < 0.0071
    # The print checks three motifs, so that no fourth is asked for.
    assert fit["is_exact"] is False
    assert "fourth" not in kit.warnings
    assert "neither stretched nor skewed" in kit.warnings
    assert "left out" not in kit.warnings
    cells = foreign.cells(foreign.svg(load.file("svg")))
    assert len(cells) == 16
    assert foreign.nearest(cells) > -1e-3


def _left_out(payload: dict[str, Any]) -> list[str]:
    return [each for each in payload["warnings"] if "left out" in each]


#: Middles every 99.7 mm from 50: cloth that has shrunk by 0.3 %.
SHRUNK = [_motif(0, 0, 50, 50), _motif(3, 0, 349.1, 50), _motif(0, 3, 50, 349.1)]


def test_shrunk_by_a_third_of_a_millimetre(studio: Studio) -> None:
    """A repeat of 99.7 mm: squares of 100 overlap by 0.3, to the side and across the corner.

    Middles at 50, 149.7, 249.4 and 349.1 mm both ways: squares from 0 to 399.1 mm on 400. Of any
    2 by 2 motifs one is cut: 4 of 16. 0.15 mm less on every side is 99.7: 79.7 finished.
    """
    kit = studio.kit(_body(80, 400, SHRUNK))
    assert kit.run().outlines == {"A": 4}
    assert 'pieces "A" would overlap by 0.3 mm' in kit.warnings
    assert "0.15 mm smaller on every side" in kit.warnings
    assert kit.sheet.says("overlap by 0.3 mm", "0.15 mm smaller on every side")
    kit = studio.kit(_body(79.7, 400, SHRUNK))
    assert kit.run().outlines == {"A": 16}
    assert "overlap" not in kit.warnings


def test_far_too_large_on_purpose(studio: Studio) -> None:
    """120 mm as cut on a repeat of 100 covers more than its own motif: nobody has to be warned."""
    payload = studio.calculated("/v1/layouts", _body(100, 400))
    assert not _left_out(payload)


def test_a_gap_between_pieces_as_large_as_the_repeat(studio: Studio) -> None:
    """3 mm apart, squares of 100 need a repeat of 103: 1.5 mm less on every side, or no gap.

    Middles at 50, 150, 250 and 350 on 400 by 400: 16, and of any 2 by 2 one with the gap.
    """
    payload = studio.calculated("/v1/layouts", _body(80, 400, gap=3))
    (run,) = payload["runs"]
    assert run["loads"][0][names.OUTLINES] == {"A": 4}
    (warning,) = _left_out(payload)
    assert "3 mm too near for the gap of 3 mm" in warning
    assert "1.5 mm smaller on every side, or with a gap of 0 mm" in warning
    for cured in (_body(77, 400, gap=3), _body(80, 400, gap=0)):
        payload = studio.calculated("/v1/layouts", cured)
        (run,) = payload["runs"]
        assert run["loads"][0][names.OUTLINES] == {"A": 16}
        assert not _left_out(payload)


def test_one_row_has_no_neighbours(studio: Studio) -> None:
    """On 150 by 150 mm there is one motif with 50 mm round it: none is lost beside it."""
    payload = studio.calculated("/v1/layouts", _body(80, 150, gap=3))
    (run,) = payload["runs"]
    assert run["loads"][0][names.OUTLINES] == {"A": 1}
    assert not _left_out(payload)
