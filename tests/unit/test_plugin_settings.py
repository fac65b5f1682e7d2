"""What settings of plug-ins allow."""

from __future__ import annotations

from typing import Any

import pytest

from adapters.contract import Setting, setting_faults
from adapters.readers.strokes import ReadSegment, ReadStroke, straight
from adapters.stroke_faults import has_arc
from geometry.model.points import Point

SPECS = (
    Setting("head", "choice", "what lowers the tool", "knife", choices=("knife", "beam")),
    Setting("power", "number", "power", minimum=1, maximum=100, only_with=("head", "beam")),
    Setting("arcs", "flag", "arcs as arcs", True),
    Setting("chord_mm", "number", "chords", 0.1, minimum=0, maximum=1, only_with=("arcs", False)),
    Setting("program", "text", "its name", "", maximum=8),
)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"head": "beam", "power": 5}, ""),
        ({"power": 5}, "power applies only where head is beam"),
        ({"arcs": False, "chord_mm": 0.2}, ""),
        ({"chord_mm": 0.2}, "chord_mm applies only where arcs is false"),
        ({"arcs": False, "chord_mm": "0.2 mm"}, "a number of mm, without"),
        ({"program": "Quay 海"}, ""),
        ({"program": "Quay set 2"}, "at most 8 characters; it has 10"),
        ({"program": "a\nb"}, "on one line"),
        ({"program": 3}, "must be a text"),
    ],
)
def test_settings_are_taken_or_refused_in_words(given: dict[str, Any], words: str) -> None:
    faults = [str(fault) for fault in setting_faults(SPECS, given, "tide")]
    assert len(faults) == bool(words)
    assert all(words in fault for fault in faults)


def test_chords_are_told_from_arcs() -> None:
    bent = ReadSegment(Point(5.0, -2.0), Point(10.0, 0.0))
    assert has_arc(ReadStroke(Point(0.0, 0.0), (bent,), False, "cut"))
    assert not has_arc(straight([Point(0.0, 0.0), Point(10.0, 0.0)], closed=False, group="cut"))
    # A line that goes 2 mm beyond its end, or before its start, and back.
    for x in (-2.0, 12.0):
        spur = ReadSegment(Point(x, 0.0), Point(10.0, 0.0))
        assert has_arc(ReadStroke(Point(0.0, 0.0), (spur,), False, "cut"))
    # In any direction, and anywhere on the bed.
    for end in (Point(11.0, 22.0), Point(-4.0, 7.0), Point(2.0, -90.0), Point(1.0, 12.0)):
        assert not has_arc(straight([Point(1.0, 12.0), end], closed=False, group="cut"))
