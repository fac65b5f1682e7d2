"""Which tests of the conformance kit an adapter fails that is wrong in one way.

Here they are called in one process; ``tests/roundtrip/test_conformance_kit.py`` runs them as the
authors of plug-ins do.
"""

from __future__ import annotations

import contextlib
import itertools
import warnings
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import pytest

from adapters import svg
from adapters.confined_write import WriteOutcome
from adapters.conformance import conformance_tests
from adapters.contract import CONTRACT, Kept, Setting, Written
from adapters.errors import CannotHoldError
from adapters.mutations import mutations
from adapters.readers import svg as svg_reader
from adapters.readers.strokes import ReadStroke
from geometry.model.plan import CutPlan

Change = Callable[[CutPlan], CutPlan]


@dataclass
class Wave:
    """Writes our SVG of a plan that ``change`` may alter."""

    change: Change = lambda plan: plan
    finish: Callable[[Written], object] = lambda written: written
    contract: int = CONTRACT
    name: str = "wave"
    title: str = "Wave"
    media_type: str = "text/x-wave"
    extension: str = "svg"
    supports: frozenset[Kept] = svg.ADAPTER.supports
    resolution: float = svg.ADAPTER.resolution
    settings: tuple[Setting, ...] = ()
    #: The settings of each call.
    seen: list[Mapping[str, Any]] = field(default_factory=list)
    is_lax: bool = False

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Any:
        self.seen.append(settings)
        given = {} if self.is_lax else {k: v for k, v in settings.items() if k != "wind"}
        if self.is_lax:
            plan = plan.with_vertices(lambda v: v if abs(v.x) < 1e9 else v._replace(x=0.0))
        return self.finish(svg.ADAPTER.write(self.change(plan), given))


#: All tests but that of confinement.
TESTS = {
    name.removeprefix("test_") for name in dir(conformance_tests(Wave())) if name[:5] == "test_"
} - {"it_writes_when_confined"}


def failed(
    adapter: Wave, settings: Mapping[str, Any] | None = None, tests: Iterable[str] = TESTS
) -> set[str]:
    """Return the tests that an adapter fails."""
    made: Any = conformance_tests(adapter, settings=settings)()
    found = set()
    for name in tests:
        # What the service refuses itself is only a warning.
        values: list[tuple[Any, ...]] = [()]
        if "not_finite" in name:
            values = [(float("nan"),), (float("inf"),)]
        elif "wrong_file" in name:
            values = [(each,) for each in mutations(1.0)]
        for value in values:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                try:
                    getattr(made, f"test_{name}")(*value)
                except Exception:  # noqa: BLE001 - an adapter may fail in any way
                    found.add(name)
    return found


def shifted(by: float) -> Change:
    return lambda plan: plan.with_vertices(lambda v: v._replace(x=v.x + by))


def first(
    count: int, at_least: int = 0, names: Callable[[CutPlan], list[str]] = lambda _: ["-->"]
) -> Change:
    """Return a change that keeps some strokes of plans of many, where names have odd letters."""

    def change(plan: CutPlan) -> CutPlan:
        is_changed = len(plan.strokes) > at_least and any("-->" in name for name in names(plan))
        return replace(plan, strokes=plan.strokes[:count]) if is_changed else plan

    return change


NUMBERS = itertools.count()
FOLLOWS = {
    "every_stroke_is_read_back_in_order",
    "a_tiny_outline_is_right",
    "a_wide_plan_is_right_or_refused",
}


def test_a_sound_one_fails_none() -> None:
    assert failed(Wave()) == set()
    with_settings = Wave(settings=(Setting("wind", "number", "", minimum=0, maximum=9),))
    # It takes every value of its setting, which is a warning.
    assert failed(with_settings, {"wind": 3}) == set()
    assert {"wind": 3} in with_settings.seen


@pytest.mark.parametrize(
    ("adapter", "tests"),
    [
        (Wave(contract=0), {"it_says_what_it_is"}),
        (Wave(name="Wave"), {"it_says_what_it_is"}),
        (Wave(name="wa-ve"), {"it_says_what_it_is"}),
        (Wave(media_type="text"), {"it_says_what_it_is"}),
        (Wave(extension=".svg"), {"it_says_what_it_is"}),
        (Wave(resolution=0.0), {"it_says_what_it_is"}),
        (
            Wave(
                finish=lambda made: replace(
                    made,
                    losses=(*made.losses, 3),  # type: ignore[arg-type]
                )
            ),
            {"it_returns_bytes_and_sentences", "it_lists_what_it_loses"},
        ),
        (
            Wave(finish=lambda made: replace(made, data=made.data + b" " * next(NUMBERS))),
            {"the_same_plan_gives_the_same_bytes"},
        ),
        (
            Wave(finish=lambda made: replace(made, losses=())),
            {"it_lists_what_it_loses"},
        ),
        (
            Wave(supports=svg.ADAPTER.supports | {"stops"}),
            {"stops_that_it_keeps_are_in_the_file"},
        ),
        (Wave(shifted(0.05)), FOLLOWS),
        # Odd letters of a piece, of a title and of a stop break the file.
        *(
            (Wave(first(3, names=names)), {"odd_texts_do_not_break_out"})
            for names in (
                lambda plan: [stroke.piece for stroke in plan.strokes],
                lambda plan: [plan.title],
                lambda plan: [stop.message for stop in plan.stops],
            )
        ),
        # The sample has whole numbers.
        (
            Wave(lambda plan: plan.with_vertices(lambda v: v._replace(x=round(v.x), y=round(v.y)))),
            {"a_tiny_outline_is_right"},
        ),
        (
            Wave(lambda plan: plan.with_vertices(lambda v: v._replace(x=v.x % 1000.0))),
            {"a_wide_plan_is_right_or_refused"},
        ),
        (Wave(first(1000)), {"a_plan_of_many_strokes_is_written"}),
        (
            Wave(first(1999, at_least=100)),
            {"a_plan_of_many_strokes_is_written"},
        ),
        (
            Wave(lambda plan: replace(plan, strokes=plan.strokes[::-1])),
            {"every_stroke_is_read_back_in_order"},
        ),
        (
            Wave(
                lambda plan: replace(
                    plan, strokes=tuple(replace(s, operation="cut") for s in plan.strokes)
                )
            ),
            {"every_stroke_is_read_back_in_order"},
        ),
        (
            Wave(lambda plan: replace(plan, strokes=plan.strokes or plan.bed_width.nothing)),  # type: ignore[attr-defined]
            {"an_empty_plan_is_written"},
        ),
        (
            Wave(first(5)),
            {"every_stroke_is_read_back_in_order", "a_plan_of_many_strokes_is_written"}
            | {"odd_texts_do_not_break_out"},
        ),
    ],
)
def test_a_wrong_one_fails_the_tests_that_say_so(adapter: Wave, tests: set[str]) -> None:
    assert failed(adapter, tests=tests) == tests


def test_a_reader_that_finds_nothing_wrong_is_found_out() -> None:
    """It reads the file of the right plan, whatever it is given."""

    class Blind(Wave):
        def read(self, data: bytes, plan: CutPlan, settings: Mapping[str, Any]) -> list[ReadStroke]:
            assert data
            return svg_reader.read(svg.ADAPTER.write(plan, settings).data)

    tests = {"a_wrong_file_would_be_seen", "every_stroke_is_read_back_in_order"}
    assert failed(Blind(), tests=tests) == {"a_wrong_file_would_be_seen"}


def test_an_adapter_without_a_reader_skips_what_needs_one() -> None:
    made: Any = conformance_tests(Wave(extension="wav"))()
    with pytest.raises(pytest.skip.Exception, match="wave has no reader"):
        made.test_every_stroke_is_read_back_in_order()
    with pytest.raises(pytest.skip.Exception, match="wave has no reader"):
        made.test_a_wrong_file_would_be_seen(next(iter(mutations(1.0))))
    with pytest.raises(pytest.skip.Exception, match="wave has no reader"):
        made.test_a_tiny_outline_is_right()
    made.test_odd_texts_do_not_break_out()
    made.test_a_plan_of_many_strokes_is_written()


def test_a_format_may_refuse_a_wide_plan_but_no_small_one() -> None:
    def refuse(plan: CutPlan) -> CutPlan:
        if any(vertex.x > 1000.0 for stroke in plan.strokes for vertex in stroke.vertices):
            raise CannotHoldError("It is too wide.")
        return plan

    tests = {"a_wide_plan_is_right_or_refused", "a_tiny_outline_is_right"}
    assert failed(Wave(refuse), tests=tests) == set()


def test_a_reader_may_be_given() -> None:
    """It takes the place of the adapter's own and of ours."""
    seen: list[bytes] = []

    def read(data: bytes) -> list[ReadStroke]:
        seen.append(data)
        return svg_reader.read(data)

    made: Any = conformance_tests(Wave(extension="wav"), read=read)()
    made.test_every_stroke_is_read_back_in_order()
    assert seen
    assert type(made).__name__ == "TestWaveConformance"


def test_what_the_service_refuses_itself_is_a_warning() -> None:
    lax: Any = conformance_tests(Wave(is_lax=True))()
    with pytest.warns(UserWarning, match="^wave writes a coordinate that is inf; the service"):
        lax.test_it_refuses_numbers_that_are_not_finite(float("inf"))
    with pytest.warns(UserWarning, match="^wave takes a setting that it does not have; the ser"):
        lax.test_it_refuses_settings_it_does_not_know()
    strict: Any = conformance_tests(Wave())()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        strict.test_it_refuses_numbers_that_are_not_finite(float("inf"))
        strict.test_it_refuses_settings_it_does_not_know()
    takes_all = Wave(settings=(Setting("wind", "number", "", minimum=0, maximum=9),))
    made: Any = conformance_tests(takes_all)()
    with pytest.warns(UserWarning, match="raised nothing") as caught:
        made.test_it_refuses_wrong_values_of_settings()
    assert [str(each.message) for each in caught] == [
        f"write(plan, {{'wind': {value!r}}}) raised nothing; SettingError was expected; "
        "the service refuses that itself"
        for value in (None, "many", True, -1, 10)
    ]


def test_a_right_value_that_is_refused_is_a_failure() -> None:
    """Of a number from 0 to 9, a half is right."""

    class Whole(Wave):
        def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Any:
            if settings.get("wind") == 0.5:
                raise KeyError("wind")
            return super().write(plan, settings)

    picky: Any = conformance_tests(
        Whole(settings=(Setting("wind", "number", "", minimum=0, maximum=9),))
    )()
    # Of the wrong values, which it takes.
    warnings.simplefilter("ignore")
    with pytest.raises(AssertionError, match="KeyError"):
        picky.test_it_refuses_wrong_values_of_settings()


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        (WriteOutcome("", hangs=False, is_confined=True), ""),
        (WriteOutcome("raised KeyError: 3", hangs=False, is_confined=True), "raised KeyError: 3"),
        (WriteOutcome("", hangs=False, is_confined=False), "no Landlock"),
    ],
)
def test_how_a_confined_process_did(
    outcome: WriteOutcome, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: Any = conformance_tests(Wave())()
    monkeypatch.setitem(vars(made.tested), "confined", outcome)
    errors = (AssertionError, pytest.skip.Exception)
    with pytest.raises(errors, match=words) if words else contextlib.nullcontext():
        made.test_it_writes_when_confined()
