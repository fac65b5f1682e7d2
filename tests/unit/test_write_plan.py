"""Plans as JSON, numbers, names and colours in files, by hand."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from adapters.colours import hues_of, layers_of, numbers_of, widths_of
from adapters.errors import CannotHoldError
from adapters.names import comment, layer_of, of_layer, plain, xml_text
from adapters.numbers import number, numbers_in, require_finite
from adapters.plan import ADAPTER
from adapters.sample import sample_plan
from geometry.model.cutter import WorkArea
from geometry.model.outline import Operation, Vertex
from geometry.model.plan import CutPlan, Stop, Stroke


def stroke(operation: Operation = "cut", *, angle: float | None = None, x: float = 1.0) -> Stroke:
    return Stroke(operation, (Vertex(x, 2.0), Vertex(3.0, 4.0, 0.5)), False, angle_deg=angle)


def plan(*strokes: Stroke, layers: tuple[str, ...] = ()) -> CutPlan:
    return replace(sample_plan(), strokes=strokes, stops=(), layers=layers)


def test_a_plan_as_json() -> None:
    strokes = (
        replace(stroke(), closed=True, piece="flag", placement=3, part="hole", pass_number=2),
        replace(stroke("score", angle=22.5), station=2),
    )
    stops = Stop(0, "check", "Look."), Stop(1, "turn-blade", "Turn.", 2, 22.5)
    made = CutPlan(
        "Größe", 100.0, 60.0, WorkArea.rectangle(5, 6, 70, 40), strokes, stops, "indexed_blade"
    )
    written = ADAPTER.write(made, {}).data
    assert json.loads(written) == {
        "units": "mm",
        "title": "Größe",
        "bed": {"width_mm": 100, "height_mm": 60},
        "work_area": {"x_mm": 5, "y_mm": 6, "width_mm": 70, "height_mm": 40},
        "tool": "indexed_blade",
        "strokes": [
            {
                "operation": "cut", "station": 1, "piece": "flag", "placement": 3, "part": "hole",
                "pass": 2, "closed": True, "points": [[1, 2, 0], [3, 4, 0.5]],
            },
            {
                "operation": "score", "station": 2, "piece": "", "placement": None,
                "part": "outline", "pass": 1, "closed": False, "points": [[1, 2, 0], [3, 4, 0.5]],
                "angle_deg": 22.5,
            },
        ],
        "stops": [
            {"before_stroke": 0, "reason": "check", "message": "Look."},
            {
                "before_stroke": 1, "reason": "turn-blade", "message": "Turn.", "station": 2,
                "angle_deg": 22.5,
            },
        ],
    }  # fmt: skip
    # On one line, without blanks between its words.
    assert written.startswith(b'{"units":"mm","title":"Gr\\u00f6')
    assert written.endswith(b"}]}\n")


@pytest.mark.parametrize(
    ("value", "digits", "least", "text"),
    [
        (1.5, 4, 0, "1.5"), (2.0, 4, 0, "2"), (2.0, 4, 1, "2.0"), (100.0, 4, 0, "100"),
        (-100.0, 4, 0, "-100"), (-10.5, 4, 0, "-10.5"), (1234.5678, 2, 0, "1234.57"),
        (1.25, 4, 3, "1.250"), (-0.00001, 4, 0, "0"), (-0.00001, 4, 1, "0.0"), (-0.0, 0, 0, "0"),
        (10.4, 0, 0, "10"), (-20.0, 0, 0, "-20"), (0.05, 4, 1, "0.05"), (1e-7, 4, 0, "0"),
        (12345678901.25, 4, 0, "12345678901.25"), (3.0, 2, 2, "3.00"), (1.25, 4, 2, "1.25"),
        (7.0, 0, 0, "7"),
    ],
)  # fmt: skip
def test_numbers_for_machines(value: float, digits: int, least: int, text: str) -> None:
    assert number(value, digits, least) == text


def test_rows_of_numbers() -> None:
    words = "%.5f %.5f m %.5f %.5f l S"
    assert numbers_in(words, (1.5, -0.000001, 10.0, -100.25)) == "1.5 0 m 10 -100.25 l S"
    for wrong in (math.nan, math.inf, -math.inf):
        with pytest.raises(CannotHoldError, match="not a finite number"):
            numbers_in("%.5f ", (wrong,))
        with pytest.raises(CannotHoldError, match="not a finite number"):
            number(wrong)


def test_a_stroke_that_is_not_finite_is_named() -> None:
    require_finite(plan(stroke(), stroke()))
    # Their sum is too large for a number, but all of them are finite.
    large = replace(stroke(), vertices=(Vertex(1e308, 1e308), Vertex(1e308, 0.0)))
    require_finite(plan(large))
    for wrong in (math.nan, math.inf):
        with pytest.raises(CannotHoldError, match=r"^Stroke 2 has a coordinate that is not"):
            require_finite(plan(stroke(), large, stroke(x=wrong)))


def test_layers() -> None:
    assert layer_of(stroke("score")) == "score"
    assert layer_of(stroke(angle=0.0)) == "cut-0deg"
    assert layer_of(stroke(angle=-22.5)) == "cut-m22p5deg"
    assert layer_of(replace(stroke("mark"), part="nick")) == "nick"
    assert layer_of(replace(stroke("mark"), part="hole")) == "mark"
    stated = {"cut": "a", "cut-45deg": "b"}
    found = [
        of_layer(each, stated, "c")
        for each in (stroke(angle=45.0), stroke(angle=30.0), stroke("mark"))
    ]
    assert found == ["b", "a", "c"]


def test_plain_texts() -> None:
    assert plain("--Tea & milk, no. 3--") == "Tea-milk-no-3"
    assert plain("abcdef ghi", 7) == "abcdef"
    assert plain("n" * 30) == plain("!" + "n" * 30) == "n" * 24
    assert (plain("!?"), plain("")) == ("x", "x")
    assert comment("  (Tea) [milk];\t50% -_.,:/'") == "Tea milk 50 -_.,:/'"
    assert comment("Größe Сумка") == "Grosse Sumka"
    assert comment("abc def", 5) == "abc d"
    assert len(comment("n" * 90)) == 60
    # A control character is a blank; a mark that turns the direction is left out.
    assert xml_text("a\x00b\u202ec\ud800  d\n") == "a bc d"
    assert xml_text("海" * 300) == "海" * 200


def test_standard_colours() -> None:
    """One layer is black; several are red, yellow and so on in order of first use."""
    cut, score, mark = stroke(), stroke("score"), stroke("mark")
    assert numbers_of(plan(cut, cut), None) == {"cut": 7}
    assert hues_of(plan(cut), None) == {"cut": "#000000"}
    assert numbers_of(plan(score, cut, score), None) == {"score": 1, "cut": 2}
    assert hues_of(plan(mark, cut), None) == {"mark": "#ff0000", "cut": "#ffff00"}
    # In the order of the run; a layer that it does not name comes last.
    run = plan(score, mark, cut, layers=("cut", "score"))
    assert layers_of(run) == ["cut", "score", "mark"]
    assert list(numbers_of(run, None).items()) == [("cut", 1), ("score", 2), ("mark", 3)]
    angles = [stroke(angle=float(each)) for each in range(7)]
    assert list(numbers_of(plan(*angles), None).values()) == [1, 2, 3, 4, 5, 6, 1]


def test_colours_that_are_set() -> None:
    cut, tilted, score = stroke(), stroke(angle=45.0), stroke("score")
    # A number of the user's is not given to another layer.
    assert numbers_of(plan(score, cut), {"cut": 1}) == {"score": 2, "cut": 1}
    assert numbers_of(plan(cut), {"cut": 30.0}) == {"cut": 30}
    assert numbers_of(plan(tilted, score), {"cut": 5, "mark": 9}) == {"cut-45deg": 5, "score": 1}
    assert numbers_of(plan(tilted), {"cut-45deg": 3, "cut": 5}) == {"cut-45deg": 3}
    assert hues_of(plan(cut, score), {"score": "#FF0000"}) == {"cut": "#ffff00", "score": "#ff0000"}
    widths = widths_of(plan(tilted, stroke(angle=30.0), score), {"cut": 0.3, "cut-45deg": 0.5})
    assert widths == {"cut-45deg": 0.5, "cut-30deg": 0.3, "score": 0.1}
    assert widths_of(plan(cut), None) == {"cut": 0.1}
