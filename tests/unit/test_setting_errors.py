"""Errors of the settings of a format: the whole sentence, and what it names."""

from __future__ import annotations

from typing import Any

import pytest

from adapters.contract import Setting, resolved, setting_faults
from adapters.errors import AdapterError, CannotHoldError, SettingError
from adapters.frame import frame_notice

SPECS = (
    Setting("head", "choice", "tool", choices=("laser", "knife"), required=True),
    Setting("power", "number", "S word", minimum=1, maximum=9, only_with=("head", "laser")),
    Setting("lift_mm", "number", "height", default=2.5, maximum=9, only_with=("wide", True)),
    Setting("turn", "number", "turn", default=0, choices=("0", "90")),
    Setting("wide", "flag", "beyond 16 bits", default=False),
    Setting("word", "text", "a word", maximum=5),
    Setting("long", "text", "a text"),
    Setting("pens", "pens", "pens", minimum=1, maximum=8),
    Setting("hues", "colours", "hues"),
    Setting("numbers", "colour numbers", "numbers", minimum=1, maximum=255),
    Setting("widths", "widths", "widths", minimum=0.1, maximum=2),
)
LASER = {"head": "laser"}


def faults(given: dict[str, Any]) -> list[tuple[str, str, str]]:
    found = setting_faults(SPECS, given, "odd")
    return [(each.setting, each.format_name, str(each)) for each in found]


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("head", "pen", "must be one of laser, knife."),
        ("power", "5", "must be a number."),
        ("power", True, "must be a number."),
        ("power", 0.5, "must be from 1 to 9; it is 0.5."),
        ("power", -5, "must be from 1 to 9; it is -5. Was 5 meant?"),
        ("power", 9.5, "must be from 1 to 9; it is 9.5."),
        ("lift_mm", "3", "must be a number of mm, without quotation marks and unit."),
        ("turn", 45, "must be one of 0, 90; it is 45."),
        ("wide", 1, "must be true or false."),
        ("word", 1, "must be a text."),
        ("word", "a\nb", "must be on one line, without control characters."),
        ("word", "abcdef", "must have at most 5 characters; it has 6."),
        ("long", "n" * 81, "must have at most 80 characters; it has 81."),
        ("pens", 1, "must map layers (cut, cut-45deg, score, mark) to pen numbers."),
        ("pens", {"slot": 1}, "has no layer slot; layers are cut, cut-45deg, score, mark."),
        ("pens", {"cut": 1.5}, "needs a whole number for cut."),
        ("pens", {"cut": True}, "needs a whole number for cut."),
        ("pens", {"cut": 1, "score": 9}, "needs a pen from 1 to 8 for score."),
        ("hues", "red", "must map layers (cut, cut-45deg, score, mark) to colours."),
        ("hues", {"cut": "red"}, "needs a colour such as #ff0000 for cut."),
        ("hues", {"cut": 1}, "needs a colour such as #ff0000 for cut."),
        ("numbers", {"cut": 1.5}, "needs a whole number for cut."),
        ("numbers", {"cut": 256}, "needs a number from 1 to 255 for cut."),
        ("widths", {"cut": "1"}, "needs a number for cut."),
        ("widths", {"slot": 1}, "has no layer slot; layers are cut, cut-45deg, score, mark."),
        ("widths", {"cut": 0.05}, "needs a number from 0.1 to 2 for cut."),
    ],
)
def test_a_wrong_value(name: str, value: object, words: str) -> None:
    given = {**LASER, "wide": True, name: value}
    # The other of two settings that belong together may be wrong, too.
    assert (name, "odd", f"odd setting {name} {words}") in faults(given)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("power", 1), ("power", 9.0), ("turn", 90), ("turn", 90.0), ("wide", False),
        ("word", "abcde"), ("long", "n" * 80), ("pens", {"cut": 4.0, "cut-45deg": 8, "nick": 1}),
        ("hues", {"cut": "#00fFaA", "score": "#123456"}), ("numbers", {"mark": 255}),
        ("widths", {"cut": 0.15, "bridge": 2}),
    ],
)  # fmt: skip
def test_a_right_value(name: str, value: object) -> None:
    assert faults({**LASER, name: value}) == []
    assert resolved(SPECS, {**LASER, name: value}, "odd")[name] == value


def test_settings_that_are_missing_unknown_or_of_another_head() -> None:
    needs = (
        'odd needs head: state it under "odd" in the cutter\'s "formats", as laser or knife (tool).'
    )
    assert faults({}) == [("head", "odd", needs)]
    assert list(setting_faults(SPECS, {}, "odd", whole=False)) == []
    names = ", ".join(spec.name for spec in SPECS)
    unknown = ("speed", "odd", f"odd has no setting speed; it has: {names}.")
    assert faults({**LASER, "speed": 1}) == [unknown]
    (bare,) = setting_faults((), {"speed": 1}, "odd")
    assert str(bare) == "odd has no setting speed; it has: none."
    stray = "odd setting power applies only where head is laser; leave it out."
    assert faults({"head": "knife", "power": 5}) == [("power", "odd", stray)]
    # By default, wide is false.
    stray = "odd setting lift_mm applies only where wide is true; leave it out."
    assert faults({**LASER, "lift_mm": 5}) == [("lift_mm", "odd", stray)]
    # That head is missing is said, and no more.
    assert faults({"power": 5}) == [("head", "odd", needs)]
    assert resolved(SPECS, LASER, "odd")["lift_mm"] == 2.5
    with pytest.raises(SettingError, match="has no setting speed"):
        resolved(SPECS, {**LASER, "speed": 1}, "odd")


def test_errors_name_their_format() -> None:
    for error in (AdapterError("Too wide.", format_name="odd"), CannotHoldError("Too wide.")):
        assert (str(error), error.message) == ("Too wide.", "Too wide.")
    assert AdapterError("Too wide.", format_name="odd").format_name == "odd"
    assert AdapterError("Too wide.").format_name == ""
    assert SettingError("No.", setting="a").format_name == ""


def test_a_frame_that_the_tool_crosses() -> None:
    begin = (
        "The raised tool crosses the frame of the opening between the machine's 0,0 and the first "
        "cut. Make sure that it passes above the frame"
    )
    assert frame_notice(is_home=True) == (
        f"{begin}, or lift it over by hand first. It comes back the same way."
    )
    assert frame_notice(lift="5 mm", is_home=False) == (
        f"{begin} (it travels at 5 mm), or lift it over by hand first. The file does not take it "
        "back: it stops above the last cut."
    )
