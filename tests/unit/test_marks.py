"""Holes, lines, arrows and letters stay where they may be, or are left out with a warning."""

import math

import pytest

from geometry.marks.holes import DIAMETER, MIN_EDGE, removal_hole
from geometry.marks.letters import letters, width_of, writable
from geometry.marks.lines import grain_arrow, label, match_marks, seam_line
from geometry.marks.room import clearance
from geometry.model.outline import Chain, Outline
from geometry.model.points import Point, distance
from geometry.offset.allowance import make_patch
from geometry.separation import contains
from geometry.shapes.catalogue import CATALOGUE, build

HEXAGON = build("hexagon", {"side": 25.4})


def inside(path: Chain | Outline, outline: Outline) -> bool:
    return all(
        contains(outline, part.point_at(share))
        for part in path.segments
        for share in (0.01, 0.5, 0.99)
    )


def test_the_hole_is_an_office_punch_s_and_near_the_middle() -> None:
    hole = removal_hole(HEXAGON)
    assert hole is not None
    assert hole.bounds.width == pytest.approx(DIAMETER)
    centre = Point(
        (hole.bounds.left + hole.bounds.right) / 2, (hole.bounds.bottom + hole.bounds.top) / 2
    )
    assert distance(centre, Point(0, 0)) < 1e-6


def test_no_hole_where_too_little_paper_would_be_left() -> None:
    # a hexagon of inradius r keeps r - 3 mm about the hole
    fits = build("hexagon", {"across_flats": 2 * (DIAMETER / 2 + MIN_EDGE) + 0.01})
    assert removal_hole(fits) is not None
    small = build("hexagon", {"across_flats": 2 * (DIAMETER / 2 + MIN_EDGE) - 0.01})
    assert removal_hole(small) is None


def test_the_hole_finds_room_beside_a_hollow_middle() -> None:
    bow = Outline.of([(0, 0), (60, 0), (60, 60), (45, 60), (45, 15), (15, 15), (15, 60), (0, 60)])
    hole = removal_hole(bow)
    assert hole is not None
    assert inside(hole, bow)
    reach = min(clearance(bow, part.point_at(0.5)) for part in hole.segments)
    assert reach >= MIN_EDGE - 1e-6


@pytest.mark.parametrize("kind", sorted(CATALOGUE))
def test_labels_and_arrows_stay_inside(kind: str) -> None:
    unit = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    scale = 60.0 / max(unit.bounds.width, unit.bounds.height)
    outline = Outline.of([(v.x * scale, v.y * scale, v.bulge) for v in unit.vertices])
    hole = removal_hole(outline)
    holes = (hole,) if hole is not None else ()
    arrow = grain_arrow(outline, holes)
    for mark in [*arrow, *label(outline, "K-12", holes, arrow)]:
        assert inside(mark.path, outline)
        for other in holes:
            for part in mark.path.segments:
                assert not contains(other, part.start)
                assert not contains(other, part.end)


def test_a_label_that_does_not_fit_is_left_out() -> None:
    assert label(build("triangle", {"side": 12.0}), "MUCH TOO LONG") == []
    assert label(HEXAGON, "A") != []
    assert label(HEXAGON, "   ") == []


def test_letters_are_of_the_stated_size() -> None:
    lines = letters("HE", 10.0, 20.0, 3.0)
    xs = [v.x for line in lines for v in line.vertices]
    ys = [v.y for line in lines for v in line.vertices]
    assert (min(xs), min(ys), max(ys)) == (10.0, 20.0, 23.0)
    assert max(xs) == pytest.approx(10.0 + width_of("HE", 3.0))


def test_text_that_cannot_be_drawn_becomes_plain() -> None:
    assert writable("Möwe 2") == "MOWE 2"
    assert writable("a)\n;<&\x03") == "A??????"
    assert writable("海") == "?"


def test_match_marks_stand_in_the_allowance_at_mid_edge() -> None:
    marks = match_marks(HEXAGON, {}, 6.35)
    assert len(marks) == 6
    patch = make_patch(HEXAGON, 6.35).outline
    for mark, edge in zip(marks, HEXAGON.segments, strict=True):
        start, end = (v.point for v in mark.path.vertices)
        assert distance(start, edge.point_at(0.5)) < 1e-9
        assert contains(patch, end)
        assert not contains(HEXAGON, end)
        assert math.cos(edge.start_heading) * (end.x - start.x) + math.sin(edge.start_heading) * (
            end.y - start.y
        ) == pytest.approx(0.0, abs=1e-9)
    assert match_marks(HEXAGON, {}, 1.0) == []


def test_the_seam_line_is_the_template() -> None:
    mark = seam_line(HEXAGON, "score")
    assert mark.path == HEXAGON
    assert mark.operation == "score"
