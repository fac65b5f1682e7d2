"""SVG drawings are read as they look, whatever moves, hides, copies or scales their shapes.

Sizes are worked by hand from SVG 1.1 and CSS Transforms 1. Transforms are also compared with those
of svgelements, a library that shares no code with this reader.
"""

from __future__ import annotations

import math
import random
from dataclasses import asdict
from typing import Any

import pytest
import svgelements

from geometry.shapes.curves import TOLERANCE
from service.drawings.drawing import Drawing, DrawingError
from service.drawings.inspect import inspect_file
from service.drawings.svg import read_svg
from service.drawings.svg.transforms import parse_transform
from service.requests.inspections import InspectionRequest

MM = 'width="200mm" height="100mm" viewBox="0 0 200 100"'


def svg(body: str, size: str = MM) -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}</svg>'.encode()


def read(body: str, size: str = MM, units: str | None = None) -> Drawing:
    return read_svg(svg(body, size), units=units, tolerance=TOLERANCE)


def box(drawing: Drawing) -> tuple[float, float, float, float]:
    """Return left, bottom, right and top of the corners of all paths."""
    xs = [v.x for path in drawing.paths for v in path.vertices]
    ys = [v.y for path in drawing.paths for v in path.vertices]
    return min(xs), min(ys), max(xs), max(ys)


RECT = '<rect x="10" y="20" width="30" height="10" {}/>'


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        # The page is 100 mm high; y points up: 20 from the top is 80, and 10 below that is 70.
        ("", (10, 70, 40, 80)),
        ('transform="translate(5 7)"', (15, 63, 45, 73)),
        # A quarter turn about (10, 20): the rectangle stands to the left of and below that point.
        ('transform="rotate(90 10 20)"', (0, 50, 10, 80)),
        # About the origin (x, y) goes to (-y, x).
        ('transform="rotate(90)"', (-30, 60, -20, 90)),
        # The last one first: doubled to (20..80, 40..60), then moved.
        ('transform="translate(100 0) scale(2)"', (120, 40, 180, 60)),
        ('transform="scale(2) translate(100 0)"', (220, 40, 280, 60)),
        ('transform="matrix(1 0 0 2 3 4)"', (13, 36, 43, 56)),
        # Each point moves right by its y: 20 and 30.
        ('transform="skewX(45)"', (30, 70, 70, 80)),
        # In CSS: pixels are units; the turn is about the origin of the transform.
        ('style="transform: translate(5px, 7px)"', (15, 63, 45, 73)),
        ('style="transform: rotate(90deg); transform-origin: 10px 20px"', (0, 50, 10, 80)),
        ('style="transform: rotate(0.25turn)"', (-30, 60, -20, 90)),
        # About the middle of the view box, (100, 50): (x, y) goes to (200 - x, 100 - y).
        ('style="transform: scale(-1); transform-origin: center"', (160, 20, 190, 30)),
        ('style="transform: scale(-1); transform-origin: 50% 50%"', (160, 20, 190, 30)),
        # A style replaces the attribute.
        ('transform="scale(9)" style="transform: translateY(10px)"', (10, 60, 40, 70)),
    ],
)
def test_transforms_move_what_they_move(more: str, expected: tuple[float, ...]) -> None:
    assert box(read(RECT.format(more))) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("rules", "is_drawn"),
    [
        (".a { transform: translate(5px, 7px) }", True),
        ("rect.a{transform:translate(5px,7px)}", True),
        ("g .a { transform: translate(5px, 7px) }", True),
        ("svg > g > #r { transform: translate(5px, 7px) }", True),
        ("/* as said */ * { fill: none; stroke: red } #r { transform: translate(5px, 7px) }", True),
        # The id counts more than the class, whatever stands last.
        ("#r { transform: translate(5px, 7px) } .a { transform: scale(9) }", True),
        (".a { transform: translate(5px, 7px) !important } #r { transform: scale(9) }", True),
        ("@font-face { font-family: x; src: url(y) } .a { transform: translate(5px, 7px) }", True),
        (".a { display: none }", False),
        ("g { visibility: hidden }", False),
        (".a { fill: none }", False),
        (".a { opacity: 0 }", False),
    ],
)
def test_style_rules_are_applied(rules: str, is_drawn: bool) -> None:
    shape = RECT.format('id="r" class="a"')
    drawing = read(f'<style type="text/css">{rules}</style><g>{shape}</g>')
    assert bool(drawing.paths) == is_drawn
    if is_drawn:
        assert box(drawing) == pytest.approx((15, 63, 45, 73))
    else:
        assert [each.element for each in drawing.skipped][-1].startswith("rect (")


def test_what_has_no_paint_is_left_out_and_listed() -> None:
    body = (
        '<g fill="none" stroke="none"><rect width="5" height="5"/>'
        '<rect width="6" height="6" stroke="red"/></g>'
        '<rect width="7" height="7" style="fill:none;stroke:#000;stroke-width:0"/>'
        '<line x2="5" y2="5" stroke="none"/><line x2="9" y2="9"/>'
    )
    drawing = read(body)
    assert len(drawing.paths) == 2
    assert {each.element: each.count for each in drawing.skipped} == {
        "rect (neither filled nor stroked)": 2,
        "line (neither filled nor stroked)": 1,
    }


@pytest.mark.parametrize(
    ("size", "expected"),
    [
        # One scale, the smaller one: 0.5 mm a unit; 100 mm wide, centred on 200.
        ('width="200mm" height="50mm" viewBox="0 0 200 100"', (55, 35, 70, 40)),
        ('width="200mm" height="50mm" viewBox="0 0 200 100" preserveAspectRatio="xMinYMin"',
         (5, 35, 20, 40)),
        ('width="200mm" height="50mm" viewBox="0 0 200 100" preserveAspectRatio="xMaxYMid meet"',
         (105, 35, 120, 40)),
        # The larger scale, 1 mm a unit: 25 of 100 units are cut off at the top.
        ('width="200mm" height="50mm" viewBox="0 0 200 100" preserveAspectRatio="xMidYMid slice"',
         (10, 45, 40, 55)),
        # Each axis by its own scale.
        ('width="200mm" height="50mm" viewBox="0 0 200 100" preserveAspectRatio="none"',
         (10, 35, 40, 40)),
        # The view box starts at (-10, -30).
        ('width="200mm" height="100mm" viewBox="-10 -30 200 100"', (20, 40, 50, 50)),
        # The height follows from the view box.
        ('width="100mm" viewBox="0 0 200 100"', (5, 35, 20, 40)),
        # A transform of the root works on the page, in pixels of 25.4 / 96 mm.
        (MM + ' transform="translate(96 0)"', (35.4, 70, 65.4, 80)),
        # And about its centre, (100, 50).
        (MM + ' transform="rotate(180)"', (160, 20, 190, 30)),
    ],
)  # fmt: skip
def test_the_page_scales_what_is_on_it(size: str, expected: tuple[float, ...]) -> None:
    assert box(read(RECT.format(""), size)) == pytest.approx(expected)


def test_unequal_scales_are_told() -> None:
    (note,) = read("", 'width="200mm" height="50mm" viewBox="0 0 200 100"').notes
    assert "x by 1 and y by 0.5 mm" in note


def test_lengths_may_have_units_and_percentages() -> None:
    """A unit is 1 mm here, so that 96 px, an inch, are 96 mm; 50 % of 200 and of 100."""
    drawing = read('<rect x="1in" y="10%" width="50%" height="50%"/>')
    assert box(drawing) == pytest.approx((96, 40, 196, 90))


def test_symbols_are_fitted_into_their_copies() -> None:
    """A view box of 10 by 10 in 40 by 20 mm: at 2 mm a unit, centred, from x = 10 + 10."""
    body = (
        '<symbol id="s" viewBox="0 0 10 10"><rect width="10" height="5"/></symbol>'
        '<use href="#s" x="10" y="30" width="40" height="20"/>'
    )
    assert box(read(body)) == pytest.approx((20, 60, 40, 70))


def test_round_corners_follow_the_standard() -> None:
    """Radii above half a side are half a side (SVG 1.1, 9.2): 40 by 20 becomes a stadium."""
    found = inspected('<rect x="5" y="5" width="40" height="20" rx="50" ry="10"/>'
                      '<rect x="5" y="50" width="40" height="20" ry="10"/>')  # fmt: skip
    areas = sorted(each["area_mm2"] for each in found["outlines"])
    assert areas == pytest.approx([math.pi * 20 * 10, 20 * 20 + math.pi * 100], rel=1e-3)


def inspected(body: str, size: str = MM, units: str | None = None) -> Any:
    request = InspectionRequest(None, units, "", TOLERANCE, "")
    return asdict(inspect_file(svg(body, size), request, None))


def test_a_files_own_unit_wins_and_is_told() -> None:
    found = inspected('<rect width="30" height="20"/>', units="in")
    assert found["outlines"][0]["width_mm"] == pytest.approx(30)
    assert any("own unit, 1 mm" in text and "(in)" in text for text in found["warnings"])
    assert inspected('<rect width="30" height="20"/>', units="mm")["warnings"] == []


def test_a_line_over_an_outline_is_a_duplicate() -> None:
    found = inspected('<rect width="30" height="20"/><line x1="5" x2="45" stroke="red"/>')
    (line,) = found["duplicate_lines"]
    assert (line["outlines"], line["open_paths"]) == ([0], [0])
    assert line["length_mm"] == pytest.approx(25)


def test_clip_paths_are_told() -> None:
    body = '<clipPath id="c"><rect width="9" height="9"/></clipPath>' + RECT.format(
        'clip-path="url(#c)"'
    )
    (note,) = read(body).notes
    assert "1 element" in note


def test_random_transforms_agree_with_svgelements() -> None:
    rng = random.Random(6)  # noqa: S311 - drawings, no secrets
    for _ in range(200):
        words = []
        for _ in range(rng.randint(1, 4)):
            a, b, c = (round(rng.uniform(-50, 50), 3) for _ in range(3))
            words.append(
                rng.choice(
                    [
                        f"translate({a},{b})", f"translate({a})", f"scale({a} {b})", f"scale({c})",
                        f"rotate({a})", f"rotate({a} {b} {c})", f"skewX({a})", f"skewY({a})",
                        f"matrix(1 {b} 0.5 {c} {a} 2)",
                    ]
                )
            )  # fmt: skip
        text = " ".join(words)
        matrix = svgelements.Matrix(text)
        theirs = (matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f)
        assert parse_transform(text, is_css=False) == pytest.approx(theirs, rel=1e-6, abs=1e-6)


def test_style_sheets_of_many_braces_are_refused_soon() -> None:
    with pytest.raises(DrawingError, match="brace"):
        read(f"<style>{'a{' * 50_000}</style>")
