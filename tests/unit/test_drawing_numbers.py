"""Numbers of drawings that no machine number holds are refused in every place."""

from __future__ import annotations

import pytest

from service.drawings.drawing import DrawingError
from service.drawings.svg import read_svg

HUGE = "9" * 400
PAGE = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="{box}">{of}</svg>'
OVAL = '<ellipse cx="3" cy="3" rx="{number}" ry="2"/>'


@pytest.mark.parametrize(
    ("box", "inside"),
    [
        ("0 0 9 9", OVAL.format(number=HUGE)),
        ("0 0 9 9", f'<ellipse cx="{HUGE}" cy="3" rx="1" ry="2"/>'),
        ("0 0 9 9", f'<path d="M0 0A{HUGE} 5 0 0 0 3 3z"/>'),
        ("0 0 9 9", f'<rect width="{HUGE}" height="2" rx="1"/>'),
        ("0 0 9 9", f'<g transform="translate({HUGE})">{OVAL.format(number=1)}</g>'),
        ("0 0 9 9", f'<g transform="scale({HUGE})">{OVAL.format(number=1)}</g>'),
        (f"{HUGE} 0 9 9", OVAL.format(number=1)),
    ],
)
def test_a_number_beyond_all_bounds_is_refused(box: str, inside: str) -> None:
    with pytest.raises(DrawingError):
        read_svg(PAGE.format(box=box, of=inside).encode(), units=None, tolerance=0.05)
