"""The words of G-code files, by hand.

Source:
    NISTIR 6556 (RS274NGC, version 3), 2000: G17, G20, G21, G40, G90, G94; G0 to G3 with I and J
    relative to an arc's start; M0, M2, M3 and S, M5; comments in parentheses.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest

from adapters.errors import SettingError
from adapters.gcode import ADAPTER
from adapters.sample import sample_plan
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline, Vertex
from geometry.model.plan import CutPlan, Stop, Stroke

#: The bulge of a quarter circle.
QUARTER = math.tan(math.pi / 8)
LASER = {"head": "laser", "feed_mm_min": 1200, "power": 300, "score_power": 60}
KNIFE = {"head": "knife", "feed_mm_min": 1270, "depth_mm": -0.5, "score_depth_mm": -0.25}
#: Two lines and a quarter circle around (20, 20).
PATH = Stroke(
    "cut",
    (Vertex(10, 10), Vertex(30, 10), Vertex(30, 20, QUARTER), Vertex(20, 30)),
    closed=False,
    piece="flag",
    placement=0,
)
SCORE = Stroke("score", (Vertex(5, 6), Vertex(7.5, 8.25)), closed=False)


def plan(*strokes: Stroke, stops: tuple[Stop, ...] = ()) -> CutPlan:
    return replace(sample_plan(), title="Sample", strokes=strokes, stops=stops)


def written(made: CutPlan, settings: dict[str, object]) -> list[str]:
    return ADAPTER.write(made, settings).data.decode("ascii").splitlines()


def moves(stroke: Stroke, settings: dict[str, object]) -> list[str]:
    return [each for each in written(plan(stroke), settings) if each[:3] in {"G1 ", "G2 ", "G3 "}]


def test_a_laser_s_program() -> None:
    assert written(plan(PATH, SCORE), LASER) == [
        "(Sample)", "(tool pen)", "(laser off while it travels)", "G17 G21 G40 G90 G94", "M5",
        "(cut)", "(flag 1 outline)", "G0 X10.0 Y10.0", "M3 S300", "G1 X30.0 Y10.0 F1200.0",
        "G1 X30.0 Y20.0", "G3 X20.0 Y30.0 I-10.0 J0.0", "M5",
        "(score)", "G0 X5.0 Y6.0", "M3 S60", "G1 X7.5 Y8.25 F1200.0", "M5",
        "G0 X0.0 Y0.0", "M2",
    ]  # fmt: skip
    assert ADAPTER.write(plan(PATH), LASER).data.endswith(b"M2\n")


def test_a_knife_s_program() -> None:
    assert written(plan(PATH, SCORE), {**KNIFE, "plunge_feed_mm_min": 254})[2:] == [
        "(safe height 5.0 mm)", "G17 G21 G40 G90 G94", "G0 Z5.0",
        "(cut)", "(flag 1 outline)", "G0 X10.0 Y10.0", "G1 Z-0.5 F254.0", "G1 X30.0 Y10.0 F1270.0",
        "G1 X30.0 Y20.0", "G3 X20.0 Y30.0 I-10.0 J0.0", "G0 Z5.0",
        "(score)", "G0 X5.0 Y6.0", "G1 Z-0.25 F254.0", "G1 X7.5 Y8.25 F1270.0", "G0 Z5.0",
        "G0 X0.0 Y0.0", "M2",
    ]  # fmt: skip
    # Down at the cutting feed where no other is stated.
    assert "G1 Z-0.5 F1270.0" in written(plan(PATH), KNIFE)


def test_words_in_inches() -> None:
    """10 mm are 0.39370 in, 1270 mm/min are 50 in/min."""
    stroke = Stroke("cut", (Vertex(50.8, 10, QUARTER), Vertex(25.4, 35.4)), closed=False)
    settings = {**KNIFE, "units": "in", "clear_mm": 5.08, "depth_mm": -1.27}
    assert written(plan(stroke), settings)[2:] == [
        "(safe height 0.2 in)", "G17 G20 G40 G90 G94", "G0 Z0.2", "(cut)",
        "G0 X2.0 Y0.3937", "G1 Z-0.05 F50.0", "G3 X1.0 Y1.3937 I-1.0 J0.0 F50.0", "G0 Z0.2",
        "G0 X0.0 Y0.0", "M2",
    ]  # fmt: skip


def test_five_decimals_of_an_inch_and_four_of_a_millimetre() -> None:
    stroke = Stroke("cut", (Vertex(1.23456789, 2), Vertex(10, 3.00004)), closed=False)
    assert "G0 X1.2346 Y2.0" in written(plan(stroke), LASER)
    assert moves(stroke, LASER) == ["G1 X10.0 Y3.0 F1200.0"]
    inch = {**LASER, "units": "in"}
    # 1.23456789 / 25.4 = 0.0486051, 2 / 25.4 = 0.078740, 3.00004 / 25.4 = 0.118112.
    assert "G0 X0.04861 Y0.07874" in written(plan(stroke), inch)
    assert moves(stroke, inch) == ["G1 X0.3937 Y0.11811 F47.244"]


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        (Vertex(50, 10, QUARTER), (40, 20), ["G3 X40.0 Y20.0 I-10.0 J0.0 F1200.0"]),
        (Vertex(40, 20, -QUARTER), (50, 10), ["G2 X50.0 Y10.0 I0.0 J-10.0 F1200.0"]),
        (
            Vertex(50, 10, -1.0),
            (30, 10),
            ["G2 X40.0 Y0.0 I-10.0 J0.0 F1200.0", "G2 X30.0 Y10.0 I0.0 J10.0"],
        ),
    ],
)
def test_arcs(start: Vertex, end: tuple[float, float], words: list[str]) -> None:
    assert moves(Stroke("cut", (start, Vertex(*end)), closed=False), LASER) == words


def test_a_ring_is_closed_and_places_are_not_repeated() -> None:
    ring = (Vertex(10, 10), Vertex(30, 10), Vertex(30.00001, 10), Vertex(30, 20))
    assert moves(Stroke("cut", ring, closed=True), LASER) == [
        "G1 X30.0 Y10.0 F1200.0", "G1 X30.0 Y20.0", "G1 X10.0 Y10.0",
    ]  # fmt: skip


def test_modes_that_are_set() -> None:
    lines = written(plan(PATH), {**LASER, "arc_centres": "G91.1", "power_word": "M4"})
    assert lines[3:5] == ["G91.1", "G17 G21 G40 G90 G94"]
    assert "M4 S300" in lines
    assert not any("M3" in each for each in lines)


def test_chords() -> None:
    """Points on the circle around (20, 20), not further apart than a chord 0.005 mm off it."""
    settings = {**LASER, "arcs": "chords"}
    lines = moves(PATH, settings)
    places = [tuple(float(word[1:]) for word in each.split()[1:3]) for each in lines]
    assert places[:2] == [(30, 10), (30, 20)]
    assert places[-1] == (20, 30)
    for a, b in itertools.pairwise(places[1:]):
        assert math.dist(b, (20, 20)) == pytest.approx(10, abs=1e-4)
        assert math.dist(a, b) < 2 * math.sqrt(2 * 10 * 0.005) + 1e-4
    assert ADAPTER.write(plan(PATH), settings).losses == (
        "G-code writes arcs as chords within 0.005 mm.",
    )
    assert ADAPTER.write(plan(SCORE), settings).losses == ()
    assert ADAPTER.resolution_for(settings) == pytest.approx(0.006)
    assert ADAPTER.resolution_for({}) == pytest.approx(0.001)


def test_comments_of_a_load() -> None:
    made = replace(
        plan(PATH), title="", tool_kind="drag_blade", material="sail cloth", kit_number="A1B2",
        passes=3,
    )  # fmt: skip
    assert written(made, KNIFE)[:6] == [
        "(cut plan)", "(tool drag blade)", "(material sail cloth)", "(kit A1B2)",
        "(3 passes needed, this file makes 1)", "(safe height 5.0 mm)",
    ]  # fmt: skip


def test_stops_stand_where_the_plan_has_them() -> None:
    stops = (
        Stop(0, "load-material", "Load card."), Stop(1, "turn-blade", "Turn the blade."),
        Stop(1, "check", "()"), Stop(2, "check", "Take it off."),
    )  # fmt: skip
    lines = written(plan(SCORE, SCORE, stops=stops), LASER)[4:]
    stroke = ["G0 X5.0 Y6.0", "M3 S60", "G1 X7.5 Y8.25 F1200.0", "M5"]
    assert lines == [
        "M5", "(Load card.)", "M0", "(score)", *stroke,
        # A stop without plain words states its reason.
        "(Turn the blade.)", "M0", "(check)", "M0", *stroke, "(Take it off.)", "M0",
        "G0 X0.0 Y0.0", "M2",
    ]  # fmt: skip


def test_the_tool_stays_where_the_way_home_crosses_the_frame() -> None:
    """The opening is 20 mm wide in the bed's middle, with a notch, so 0, 0 is on the frame."""
    notched = (Vertex(40, 40), Vertex(60, 40), Vertex(60, 60), Vertex(50, 50), Vertex(40, 60))
    area = WorkArea(Outline(notched))
    stroke = Stroke("cut", (Vertex(45, 45), Vertex(50, 45)), closed=False)
    lines = written(replace(plan(stroke), work_area=area), KNIFE)
    assert lines[-2:] == ["G0 Z5.0", "M2"]
    bench = ADAPTER.write(replace(plan(stroke), work_area=area), KNIFE).bench
    assert "it travels at 5 mm" in bench[0]
    assert "stops above the last cut" in bench[0]


@pytest.mark.parametrize(
    ("settings", "missing"),
    [
        ({**LASER, "power": None}, "power"),
        ({**LASER, "score_power": None}, "score_power"),
        ({**KNIFE, "depth_mm": None}, "depth_mm"),
        ({**KNIFE, "score_depth_mm": None}, "score_depth_mm"),
    ],
)
def test_what_is_never_guessed(settings: dict[str, object], missing: str) -> None:
    stated = {name: value for name, value in settings.items() if value is not None}
    with pytest.raises(SettingError, match=f"needs {missing}: it depends") as caught:
        written(plan(PATH, SCORE), stated)
    assert caught.value.setting == missing
    if missing.startswith("score"):
        # Without creases their power is not needed.
        assert written(plan(PATH), stated)


def test_losses() -> None:
    made = replace(plan(PATH, SCORE), title="Größe")
    assert ADAPTER.write(made, {**LASER, "score_power": 0.00144}).losses == (
        'G-code comments hold plain letters only: the title is written as "Grosse".',
        "G-code states score_power 0.00144 as 0.0014.",
    )
    assert ADAPTER.write(plan(PATH), LASER).losses == ()
