"""The values that the conformance kit tries for each kind of setting, and what it says of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from adapters.contract import CONTRACT, Kept, Setting, Written
from adapters.errors import AdapterError, CannotHoldError, SettingError
from adapters.wrong_settings import setting_fault, wrong_settings
from geometry.model.plan import CutPlan

#: A setting, the wrong values that are tried, and those that may be wrong.
TRIED: list[tuple[Setting, list[Any], list[Any]]] = [
    (
        Setting("a", "number", "", minimum=1, maximum=9),
        [None, "many", True, 0, 10],
        [1.5],
    ),
    (Setting("a", "number", "", minimum=2.0, maximum=2.25),
     [None, "many", True, 1, 3.25], [2.25]),
    (Setting("a", "number", "", minimum=4), [None, "many", True, 3], [4.5]),
    (Setting("a", "number", "", maximum=4), [None, "many", True, 5], []),
    (Setting("a", "number", "", minimum=2, maximum=4, choices=("2", "4", "3")),
     [None, "many", True, 1, 5, 5.0], []),
    (Setting("a", "choice", "", choices=("x",)), [None, "no such choice", 1], []),
    (Setting("a", "text", ""), [None, 1, "two\nlines"], []),
    (Setting("a", "text", "", maximum=3), [None, 1, "two\nlines", "mmmm"], []),
    (Setting("a", "flag", ""), [None, "yes"], []),
    (Setting("a", "pens", ""), [None, "cut", {"no such layer": 1}], []),
    (Setting("a", "widths", "", minimum=1), [None, "cut", {"no such layer": 1}], []),
]  # fmt: skip


def test_values_that_are_tried() -> None:
    for spec, wrong, odd in TRIED:
        assert wrong_settings([spec]) == {
            "a": [*((value, True) for value in wrong), *((value, False) for value in odd)]
        }


def test_each_setting_has_its_own() -> None:
    specs = [Setting("a", "flag", ""), Setting("b", "flag", "")]
    assert list(wrong_settings(specs)) == ["a", "b"]


class Answering:
    """An adapter that raises an error for settings other than those that it is called with."""

    contract, name, title, media_type, extension = CONTRACT, "quay", "Quay", "text/x-quay", "quay"
    supports: frozenset[Kept] = frozenset()
    resolution = 0.1
    settings: tuple[Setting, ...] = (Setting("depth", "number", ""), Setting("speed", "number", ""))

    def __init__(self, error: Exception | None) -> None:
        self.error = error
        self.seen: list[Mapping[str, Any]] = []

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        assert plan.strokes
        self.seen.append(settings)
        if self.error is not None:
            raise self.error
        return Written(b"quay")


CALLED = "write(plan, {'depth': 7}) raised "


#: What is raised, and what is said of it for a wrong value and for a right one.
ANSWERS: list[tuple[Exception | None, str, str]] = [
    (None, "nothing; SettingError was expected", ""),
    (SettingError("no", setting="depth"), "", ""),
    (SettingError("no", setting="speed"), "", ""),
    (
        SettingError("no", setting="deep"),
        "SettingError with setting='deep', which is none of its",
        "SettingError with setting='deep', which is none of its",
    ),
    (CannotHoldError("full"), "CannotHoldError: full, and not SettingError", ""),
    (
        AdapterError("no"),
        "AdapterError: no, and not SettingError",
        "AdapterError: no, and not SettingError",
    ),
    (KeyError(3), "KeyError: 3, and not SettingError", "KeyError: 3, and not SettingError"),
]


def test_what_is_said_of_an_answer() -> None:
    for error, of_wrong, of_right in ANSWERS:
        for is_wrong, words in ((True, of_wrong), (False, of_right)):
            adapter = Answering(error)
            stated = {"speed": 5, "depth": 1}
            found = setting_fault(adapter, stated, "depth", 7, is_wrong=is_wrong)
            assert found == (CALLED + words if words else "")
            # The value takes the place of the stated one beside the others.
            assert adapter.seen == [{"speed": 5, "depth": 7}]
