"""Numbers in drawings that are none are refused with their place."""

from __future__ import annotations

import pytest

from service.drawings.drawing import DrawingError
from service.drawings.svg import read_svg

PAGE = 'width="40mm" height="40mm" viewBox="0 0 40 40"'


def _svg(body: str, page: str = PAGE) -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {page}>{body}</svg>'.encode()


@pytest.mark.parametrize("text", ["1.2.3", "..", ".", "1e", "--1", "1e999", "nan", "inf", "1,5"])
def test_a_radius_that_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(DrawingError, match=r"<circle> number 1: r=.* is not a plain number"):
        read_svg(_svg(f'<circle cx="9" cy="9" r="{text}"/>'), units=None, tolerance=0.02)


@pytest.mark.parametrize("text", ["4.0.0mm", ".mm", "mm", "4..0mm", "1e999mm", "nanmm", "4mm 5mm"])
@pytest.mark.parametrize("name", ["width", "height"])
def test_a_page_of_no_length_is_refused(name: str, text: str) -> None:
    page = PAGE.replace(f'{name}="40mm"', f'{name}="{text}"')
    with pytest.raises(DrawingError, match=rf"<svg> {name}=.* is not a length"):
        read_svg(_svg('<circle cx="9" cy="9" r="1"/>', page), units="mm", tolerance=0.02)


@pytest.mark.parametrize("text", ["5", "5.", ".5e1", "+5", " 5 ", "5px", "50.0e-1"])
def test_numbers_as_svg_writes_them_are_read(text: str) -> None:
    drawing = read_svg(_svg(f'<circle cx="9" cy="9" r="{text}"/>'), units=None, tolerance=0.02)
    xs = [vertex.x for vertex in drawing.paths[0].vertices]
    assert max(xs) - min(xs) == pytest.approx(10.0)
