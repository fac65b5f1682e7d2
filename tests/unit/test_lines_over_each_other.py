"""Lines that are drawn over each other are joined in a time that grows with their number."""

from __future__ import annotations

import cProfile

from geometry.model.outline import Vertex
from service.drawings.drawing import Path, joined


def _calls(count: int) -> int:
    line = Path((Vertex(0.0, 0.0), Vertex(10.0, 0.0)), "", "")
    profile = cProfile.Profile()
    made = profile.runcall(joined, [line] * count)
    # Each pair of lines makes a ring there and back.
    assert len(made) == count // 2
    assert all(path.closed for path in made)
    return sum(each.callcount for each in profile.getstats())


def test_twice_as_many_take_twice_as_long() -> None:
    """Counted calls; 9,000 ends in one place took as many squared before."""
    assert _calls(4_000) <= 2.2 * _calls(2_000)
