"""What a file may state of the cutting of a stroke: power, depth, feeds, speed, and its stops."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from adapters.readers.strokes import ReadStop, ReadStroke
from adapters.readers.work import work_fault
from adapters.sample import sample_plan
from adapters.silent_losses import has_inner_stops, silent_loss
from adapters.stop_faults import stop_fault
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point
from tests.unit.test_stroke_faults import by_chords, by_segments

CUT, SCORE, MARK = (
    Stroke(operation, (Vertex(0, 0), Vertex(9, 0)), closed=False)
    for operation in ("cut", "score", "mark")
)
LASER = {"head": "laser", "power": 300, "score_power": 60, "feed_mm_min": 1200}
KNIFE = {"head": "knife", "depth_mm": -1.5, "score_depth_mm": -0.4, "feed_mm_min": 900}
BURNS = {"feed_mm_min": 1200.0, "power": 300.0, "power_word": "M3"}
CUTS = {"feed_mm_min": 900.0, "depth_mm": -1.5, "plunge_feed_mm_min": 900.0, "clear_mm": 5.0}


def fault(name: str, stated: dict[str, Any], settings: dict[str, Any], stroke: Stroke = CUT) -> str:
    read = ReadStroke(Point(0, 0), (), False, "", tuple(sorted(stated.items())))
    return work_fault(name, read, stroke, settings)


@pytest.mark.parametrize(
    ("stated", "settings", "stroke"),
    [
        (BURNS, LASER, CUT),
        ({**BURNS, "power": 60.0}, LASER, SCORE),
        ({**BURNS, "power": 60.0}, LASER, MARK),
        ({**BURNS, "power": 300.29}, LASER, CUT),
        ({**BURNS, "power_word": "M4"}, {**LASER, "power_word": "M4"}, CUT),
        (CUTS, KNIFE, CUT),
        ({**CUTS, "depth_mm": -0.4}, KNIFE, SCORE),
        ({**CUTS, "depth_mm": -0.4}, KNIFE, MARK),
        ({**CUTS, "depth_mm": -1.525, "feed_mm_min": 900.025}, KNIFE, CUT),
        ({**CUTS, "plunge_feed_mm_min": 80.0}, {**KNIFE, "plunge_feed_mm_min": 80}, CUT),
        ({**CUTS, "clear_mm": 12.0}, {**KNIFE, "clear_mm": 12}, CUT),
    ],
)
def test_right_work_of_gcode(
    stated: dict[str, Any], settings: dict[str, Any], stroke: Stroke
) -> None:
    assert fault("gcode", stated, settings, stroke) == ""


@pytest.mark.parametrize(
    ("change", "settings", "stroke", "words"),
    [
        ({"power": 60.0}, LASER, CUT, "states power 60.0, it is 300.0"),
        ({"power": 300.0}, LASER, SCORE, "states power 300.0, it is 60.0"),
        ({"power": 300.0}, LASER, MARK, "states power 300.0, it is 60.0"),
        ({"power": 300.4}, LASER, CUT, "states power 300.4, it is 300.0"),
        ({"power": 299.6}, LASER, CUT, "states power 299.6, it is 300.0"),
        ({"power": "300"}, LASER, CUT, "states power 300, it is 300.0"),
        ({"power_word": "M4"}, LASER, CUT, "states power_word M4, it is M3"),
        ({"feed_mm_min": 1200.03}, LASER, CUT, "states feed_mm_min 1200.03, it is 1200.0"),
        ({"depth_mm": -1.53}, KNIFE, CUT, "states depth_mm -1.53, it is -1.5"),
        ({"depth_mm": 1.5}, KNIFE, CUT, "states depth_mm 1.5, it is -1.5"),
        ({"depth_mm": -1.5}, KNIFE, SCORE, "states depth_mm -1.5, it is -0.4"),
        ({"plunge_feed_mm_min": 80.0}, KNIFE, CUT, "states plunge_feed_mm_min 80.0, it is 900.0"),
        ({"clear_mm": 4.9}, KNIFE, CUT, "states clear_mm 4.9, it is 5.0"),
        ({"feed_mm_min": 90.0}, KNIFE, CUT, "states feed_mm_min 90.0, it is 900.0"),
    ],
)
def test_wrong_work_of_gcode(
    change: dict[str, Any], settings: dict[str, Any], stroke: Stroke, words: str
) -> None:
    right = dict(BURNS if settings is LASER else CUTS)
    if stroke is not CUT:
        right |= {"power": 60.0} if settings is LASER else {"depth_mm": -0.4}
    assert fault("gcode", right, settings, stroke) == ""
    assert fault("gcode", {**right, **change}, settings, stroke) == words


def test_work_that_is_not_stated_or_of_another_head() -> None:
    assert fault("gcode", {}, LASER) == ("states nothing instead of feed_mm_min, power, power_word")
    assert fault("gcode", CUTS, LASER).startswith("states clear_mm, depth_mm, feed_mm_min, plunge")
    assert fault("hpgl", {}, {}) == ""
    assert fault("hpgl", {"speed_cm_s": 4.0}, {"speed_cm_s": 4.9}) == ""
    assert fault("hpgl", {"speed_cm_s": 5.0}, {"speed_cm_s": 4.9}) == (
        "states speed_cm_s 5.0, it is 4.0"
    )
    assert fault("hpgl", {}, {"speed_cm_s": 4}) == "states nothing instead of speed_cm_s"
    assert fault("hpgl", {"speed_cm_s": 4.0}, {}) == "states speed_cm_s instead of nothing"


def with_stops(*stops: Stop) -> CutPlan:
    return replace(sample_plan(), stops=stops)


TURN = Stop(5, "turn-blade", "Turn the blade to 45 degrees.")
LOAD = Stop(0, "load-material", "Load  Leinen grün,\nface up.")


@pytest.mark.parametrize(
    ("found", "words"),
    [
        ([(0, "Load Leinen grun, face up."), (5, "Turn the blade to 45 degrees.")], ""),
        ([(0, "LoadLeinengrün,faceup."), (5, "Turn the\nblade to 45 degrees.")], ""),
        ([], "the plan has 2 stops, the file has 0"),
        ([(0, "Load Leinen grun, face up.")], "the plan has 2 stops, the file has 1"),
        (
            [(1, "Load Leinen grun, face up."), (5, "Turn the blade to 45 degrees.")],
            "stop 1 of 2 (load-material) comes after 0 strokes in the plan and after 1 in the file",
        ),
        (
            [(0, "Load Leinen grun, face up."), (4, "Turn the blade to 45 degrees.")],
            "stop 2 of 2 (turn-blade) comes after 5 strokes in the plan and after 4 in the file",
        ),
        (
            [(0, "Load Leinen grun, face up."), (5, "Turn to 54 deg.")],
            "stop 2 of 2 (turn-blade) has other words for the operator: 'Turn to 54 deg.'",
        ),
        (
            [(0, ""), (5, "Turn the blade to 45 degrees.")],
            "stop 1 of 2 (load-material) has other words for the operator: ''",
        ),
    ],
)
def test_stops(found: list[tuple[int, str]], words: str) -> None:
    stops = [ReadStop(*each) for each in found]
    assert stop_fault(stops, with_stops(LOAD, TURN), with_words=True) == words
    without = "" if "words" in words else words
    assert stop_fault(stops, with_stops(LOAD, TURN), with_words=False) == without


def test_a_stop_without_a_plain_letter_states_its_reason() -> None:
    plan = with_stops(Stop(0, "check", "→ ★"))
    assert stop_fault([ReadStop(0, "check")], plan, with_words=True) == ""
    assert stop_fault([ReadStop(0, "→ ★")], plan, with_words=True) == ""
    assert stop_fault([ReadStop(0, "")], plan, with_words=True)
    # The reason stands for nothing else.
    assert stop_fault([ReadStop(5, "turn-blade")], with_stops(TURN), with_words=True)


def test_a_long_message_may_be_cut_at_500_plain_characters() -> None:
    """``u`` for the first letter, and 499 of the others; white space does not count."""
    message = "ü" + "a" * 599
    plan = with_stops(Stop(0, "check", message))
    for words, is_right in (
        (message, True),
        ("u" + "a" * 499, True),
        ("u" + "a" * 59, False),
        ("u" + "a" * 599, False),
        ("check", False),
    ):
        assert (stop_fault([ReadStop(0, words)], plan, with_words=True) == "") == is_right


ALL = frozenset({"arcs", "stops"})


def test_stops_between_strokes_are_not_lost_in_silence() -> None:
    plan = sample_plan()
    assert has_inner_stops(plan)
    ends = with_stops(replace(TURN, before_stroke=0), replace(TURN, before_stroke=6))
    assert not has_inner_stops(ends)
    assert has_inner_stops(with_stops(replace(TURN, before_stroke=1)))
    assert "holds no stops" in silent_loss({"arcs"}, plan, [])
    assert "holds no stops" in silent_loss({"arcs"}, plan, ["It has no arcs.", "Unstoppable"])
    assert silent_loss({"arcs"}, plan, ["It has no arcs.", "It cannot Stop."]) == ""
    assert silent_loss({"arcs"}, ends, []) == ""
    assert silent_loss(ALL, plan, []) == ""


def test_arcs_are_not_lost_in_silence() -> None:
    """Stroke 1 of the sample has the first arc, and stroke 2 is a line."""
    plan = sample_plan()
    arcs, chords = [by_segments(s) for s in plan.strokes], [by_chords(s) for s in plan.strokes]
    assert "holds no arcs" in silent_loss({"stops"}, plan, [], arcs)
    assert silent_loss({"stops"}, plan, ["Arcs are chords."], chords) == ""
    assert silent_loss(ALL, plan, [], arcs) == ""
    assert silent_loss(ALL, plan, [], None) == ""
    assert "chords for the arcs of stroke 1 of 6" in silent_loss(ALL, plan, [], chords)
    mixed = [*arcs[:4], chords[4], arcs[5]]
    assert "chords for the arcs of stroke 5 of 6" in silent_loss(ALL, plan, [], mixed)
    straight = replace(plan, strokes=(plan.strokes[1], plan.strokes[5]), stops=())
    assert silent_loss({"stops"}, straight, [], [chords[1], chords[5]]) == ""


@pytest.mark.parametrize(
    ("bulge", "allowed", "is_lost"),
    [
        # Over 20 mm an arc is 10 mm times its bulge off its chord.
        (0.0099, 0.0, False),
        (0.0101, 0.0, True),
        (-0.0101, 0.0, True),
        (0.0101, 0.06, False),
        (0.013, 0.06, True),
    ],
)
def test_a_flat_arc_may_be_a_line(bulge: float, allowed: float, *, is_lost: bool) -> None:
    arc = Stroke("cut", (Vertex(10, 5, bulge), Vertex(30, 5)), closed=False)
    plan = replace(sample_plan(), strokes=(arc,), stops=())
    flat = by_segments(replace(arc, vertices=(Vertex(10, 5), Vertex(30, 5))))
    assert bool(silent_loss(ALL, plan, [], [flat], allowed=allowed)) == is_lost
    assert bool(silent_loss({"stops"}, plan, [], [flat], allowed=allowed)) == is_lost
