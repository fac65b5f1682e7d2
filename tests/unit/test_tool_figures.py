"""Times, ways and speeds for people at the bench, by hand: 1 in = 25.4 mm, 1 ft = 304.8 mm."""

from __future__ import annotations

import pytest

from service.tools.figures import long_length, speed_text, time_text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.0, "0 s"),
        (89.4, "89 s"),
        (90.0, "2 min"),
        (150.0, "2 min"),
        (151.0, "3 min"),
        (3_569.0, "59 min"),
        (3_600.0, "1 h 00 min"),
        (3_900.0, "1 h 05 min"),
        (90_000.0, "25 h 00 min"),
    ],
)
def test_times(seconds: float, text: str) -> None:
    assert time_text(seconds) == text


def test_ways_and_speeds_have_the_units_of_the_request() -> None:
    assert long_length(3_048.0, "in") == "10 ft"
    assert long_length(3_048.0, "mm") == "3.05 m"
    assert long_length(12_345.0, "cm") == "12.35 m"
    assert speed_text(50.0, "mm") == "50 mm/s"
    assert speed_text(25.4, "in") == "1 in/s"
