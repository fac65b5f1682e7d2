"""What is read of PDF pages that were written by hand.

Source:
    ISO 32000-1:2008: 8.3.4 (``cm`` multiplies the matrix from the left: x' = ax + cy + e), 8.4.4
    (q and Q), 8.5.2 (m, l, c, h, re), 8.5.4 (W), 14.6 (marked content), table 30 (Rotate,
    UserUnit). A point is 1/72 in, so 72 are 25.4 mm. A Bezier curve passes its middle at
    (p0 + 3 p1 + 3 p2 + p3) / 8.
"""

from __future__ import annotations

import io

import pypdf
import pytest
from pypdf.generic import DecodedStreamObject, FloatObject, NameObject, NumberObject

from adapters.readers.pdf import read
from adapters.readers.strokes import ReadStroke

INCH = 25.4
#: A page of 10 x 10 in whose clip is all of it, and whose lower left corner is that of the bed.
BEGIN = "0 0 720 720 re W n /Part <</Left 0 /Bottom 0>> BDC "


def stroke(path: str, number: int = 0, kind: str = "cut") -> str:
    return f"/Stroke <</N {number} /Kind /{kind}>> BDC {path} EMC "


def pdf(*pages: str, corner: float = 0.0, keys: tuple[tuple[str, float], ...] = ()) -> bytes:
    """Return a file with a page of 10 x 10 in for each content; none for an empty one."""
    writer = pypdf.PdfWriter()
    for content in pages:
        page = writer.add_blank_page(720, 720)
        page.mediabox.lower_left = (corner, corner)
        for key, value in keys:
            page[NameObject(key)] = (NumberObject if value == int(value) else FloatObject)(value)
        if content:
            stream = DecodedStreamObject()
            stream.set_data(content.encode())
            page[NameObject("/Contents")] = writer._add_object(stream)
    target = io.BytesIO()
    writer.write(target)
    return target.getvalue()


def inches(found: ReadStroke) -> list[tuple[float, float]]:
    """Return the start, and the middle and end of each segment, in inches."""
    places = [found.start]
    for move in found.segments:
        places += [move.middle, move.end]
    return [(place.x / INCH, place.y / INCH) for place in places]


def one(content: str, begin: str = BEGIN) -> list[tuple[float, float]]:
    (found,) = read(pdf(begin + content))
    return inches(found)


def near(places: list[tuple[float, float]]) -> list[object]:
    return [pytest.approx(place, abs=1e-9) for place in places]


def test_lines() -> None:
    (found,) = read(pdf(BEGIN + stroke("72 144 m 216 144 l 216 360 l S", kind="score")))
    assert inches(found) == near([(1, 2), (2, 2), (3, 2), (3, 3.5), (3, 5)])
    assert (found.closed, found.group) == (False, "score")


def test_a_closed_path_returns_to_its_start() -> None:
    (found,) = read(pdf(BEGIN + stroke("72 72 m 216 72 l 216 216 l h S")))
    assert found.closed
    assert inches(found) == near([(1, 1), (2, 1), (3, 1), (3, 2), (3, 3), (2, 2), (1, 1)])
    # Where it is there already, no line of no length is added.
    (again,) = read(pdf(BEGIN + stroke("72 72 m 216 72 l 216 216 l 72 72 l h S")))
    assert again == found


def test_curves() -> None:
    """By eighths of an inch: (0 + 3 x 0 + 3 x 8 + 8) / 8 = 4, and (3 x 8 + 3 x 8) / 8 = 6.

    The second curve begins where the first ends: (8 + 3 x 8 + 3 x 16 + 24) / 8 = 13, and
    (3 x -8 + 3 x -16 + 8) / 8 = -8.
    """
    path = "0 0 m 0 72 72 72 72 0 c 72 -72 144 -144 216 72 c S"
    shift = "0 0 720 720 re W n /Part <</Left 0 /Bottom 254>> BDC "
    assert one("1 0 0 1 72 360 cm " + stroke(path), shift) == near(
        [(1, 15), (1.5, 15.75), (2, 15), (1 + 13 / 8, 14), (4, 16)]
    )


def test_the_part_of_the_bed_that_a_page_shows() -> None:
    """The lower left corner of the clip, at 1 and 2 in, is at 100 and 200 mm of the bed."""
    begin = "72 144 360 360 re W n /Part <</Left 100 /Bottom 200>> BDC "
    (found,) = read(pdf(begin + stroke("72 144 m 144 288 l S")))
    assert tuple(found.start) == pytest.approx((100.0, 200.0))
    assert tuple(found.segments[0].end) == pytest.approx((125.4, 250.8))


def test_a_page_without_a_clip_shows_all_of_its_paper() -> None:
    begin = "/Part <</Left 0 /Bottom 0>> BDC "
    (found,) = read(pdf(begin + stroke("72 72 m 720 720 l S"), corner=36.0))
    assert inches(found) == near([(0.5, 0.5), (5, 5), (9.5, 9.5)])


def test_matrices() -> None:
    """The later matrix applies first: (1, 1) comes to (10, 11), and that to (58, 60)."""
    two = "2 1 3 4 5 6 cm 2 0 1 3 7 8 cm " + stroke("1 1 m 2 4 l S")
    # (2, 4) comes to (15, 20), and that to (95, 101).
    assert one(two) == near([(58 / 72, 60 / 72), (76.5 / 72, 80.5 / 72), (95 / 72, 101 / 72)])
    # Where the second turns, too: (1, 1) comes to (6, 8), and that to (41, 44).
    other = "2 1 3 4 5 6 cm 3 5 2 1 1 2 cm " + stroke("1 1 m 1 2 l S")
    # (1, 2) comes to (8, 9), and that to (48, 50).
    assert one(other) == near([(41 / 72, 44 / 72), (44.5 / 72, 47 / 72), (48 / 72, 50 / 72)])


def test_the_middle_of_a_curve_moves_with_its_matrix() -> None:
    """(36, 54) points after a quarter turn and 100 and 200 points more."""
    found = one("0 1 -1 0 100 200 cm " + stroke("0 0 m 0 72 72 72 72 0 c S"))
    assert found == near([(100 / 72, 200 / 72), (46 / 72, 236 / 72), (100 / 72, 272 / 72)])


def test_saved_states_are_restored() -> None:
    """The inner state is twice as large and shows less; it ends before the stroke."""
    inner = "q 2 0 0 2 0 0 cm 0 0 10 10 re W n Q "
    assert one(inner + stroke("72 72 m 144 72 l S")) == near([(1, 1), (1.5, 1), (2, 1)])
    # Two states, of which the last saved is restored first.
    nested = "q 1 0 0 1 72 0 cm q 1 0 0 1 0 72 cm Q "
    assert one(nested + stroke("0 72 m 72 72 l S")) == near([(1, 1), (1.5, 1), (2, 1)])


@pytest.mark.parametrize("operator", ["W", "W*"])
@pytest.mark.parametrize(
    ("second", "is_shown"),
    [
        ("0 0 720 720", True),
        ("60 60 100 100", True),
        ("80 60 100 100", False),
        ("60 80 100 100", False),
        ("60 60 70 100", False),
        ("60 60 100 70", False),
    ],
)
def test_two_clips_show_what_lies_in_both(operator: str, second: str, is_shown: bool) -> None:
    """A stroke from (72, 72) to (144, 144) points; the first clip shows a little more."""
    path = stroke("72 72 m 144 144 l S")
    for clips in (("50 50 100 100", second), (second, "50 50 100 100")):
        (left, bottom), (x, y) = ([float(each) for each in clip.split()[:2]] for clip in clips)
        corner = (max(left, x) / 72 * INCH, max(bottom, y) / 72 * INCH)
        begin = " ".join(f"{clip} re {operator} n" for clip in clips)
        made = pdf(f"{begin} /Part <</Left {corner[0]:.4f} /Bottom {corner[1]:.4f}>> BDC {path}")
        if is_shown:
            assert inches(read(made)[0])[0] == pytest.approx((1, 1), abs=1e-5)
        else:
            with pytest.raises(ValueError, match="no page shows all of stroke 0"):
                read(made)


def test_a_clip_in_a_matrix_of_its_own() -> None:
    """Of half the size and 36 points up: 72 x 72 points are 36 x 36, from (36, 72)."""
    begin = "q 0.5 0 0 0.5 0 36 cm 72 72 144 144 re W n Q "
    assert one("", begin + BEGIN[len("0 0 720 720 re W n ") :] + stroke("0 0 m 72 72 l S"))
    clip = "0.5 0 0 0.5 0 36 cm 72 72 144 144 re W n /Part <</Left 0 /Bottom 0>> BDC "
    assert one(stroke("72 72 m 216 216 l S"), clip) == near([(0, 0), (0.5, 0.5), (1, 1)])
    for path in ("72 72 m 217 216 l S", "72 72 m 216 217 l S"):
        with pytest.raises(ValueError, match="no page shows all"):
            read(pdf(clip + stroke(path)))


def test_only_the_first_path_of_a_stroke_is_its_own() -> None:
    """Lines outside of any stroke, or after its own, are no strokes of the plan."""
    lines = "0 0 m 9 9 l S "
    again = stroke("72 72 m 144 72 l S " + lines) + lines + stroke("0 0 m 5 5 l S")
    assert one(lines + again) == near([(1, 1), (1.5, 1), (2, 1)])


def test_strokes_come_by_their_numbers_from_all_pages() -> None:
    a, b, c = (stroke(f"{x} 72 m {x} 144 l S", number) for number, x in ((0, 72), (1, 144), (2, 9)))
    found = read(pdf("0 0 m 9 9 l S", BEGIN + c + a, "", BEGIN + b))
    assert [inches(each)[0][0] * 72 for each in found] == pytest.approx([72, 144, 9])
    with pytest.raises(ValueError, match="strokes are missing"):
        read(pdf(BEGIN + a + c))
    assert read(pdf("0 0 m 9 9 l S")) == []


def test_a_stroke_that_two_pages_share() -> None:
    """From 1 to 5 in; one page shows the bed up to 3 in, the other from there."""
    path = "72 36 m 360 36 l S"
    left = "0 0 216 72 re W n /Part <</Left 0 /Bottom 0>> BDC " + stroke(path)

    def right(shown: str, x: float = 216.0) -> str:
        width = 720.0 - x
        return (
            f"{x} 0 {width} 72 re W n /Part <</Left {x / 72 * INCH:.5f} /Bottom 0>> BDC "
            + stroke(shown)
        )

    (found,) = read(pdf(left, right(path)))
    assert inches(found) == near([(1, 0.5), (3, 0.5), (5, 0.5)])
    # 0.002 points are 0.0007 mm, which is rounding; 0.004 points are 0.0014 mm.
    for near_enough in ("72.002 36 m 360 36 l S", "72 36 m 360 36.002 l S"):
        assert len(read(pdf(left, right(near_enough)))) == 1
    for other in (
        "72.004 36 m 360 36 l S",
        "72 36.004 m 360 36 l S",
        "72 36 m 360 36.004 l S",
        "72 36 m 360.002 36.002 l S",
        "72 36 m 216 36 l 360 36 l S",
    ):
        with pytest.raises(ValueError, match="stroke 0 differs between pages"):
            read(pdf(left, right(other)))
    # The second page begins an eighth of an inch later: nothing shows that part.
    with pytest.raises(ValueError, match="no page shows all of stroke 0"):
        read(pdf(left, right(path, 225.0)))


@pytest.mark.parametrize("keys", [(("/Rotate", 90),), (("/UserUnit", 2),), (("/UserUnit", 1.5),)])
def test_pages_that_are_turned_or_enlarged_are_refused(keys: tuple[tuple[str, float], ...]) -> None:
    made = pdf(BEGIN + stroke("72 72 m 144 72 l S"), keys=keys)
    with pytest.raises(ValueError, match="a page is turned or enlarged"):
        read(made)
    plain = (("/Rotate", 0), ("/UserUnit", 1))
    assert len(read(pdf(BEGIN + stroke("72 72 m 144 72 l S"), keys=plain))) == 1
