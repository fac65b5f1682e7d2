"""Which formats there are, and what is said of those that cannot be used; no plug-in is run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib.metadata import EntryPoint
from types import SimpleNamespace
from typing import Any

import pytest

from adapters import plugins, registry
from adapters.contract import Written
from adapters.errors import BrokenPluginError, UnknownFormatError
from adapters.sample import sample_plan
from adapters.steps import observed_by

OURS = ("svg", "dxf", "hpgl", "gcode", "pdf", "plan")


def point(name: str, value: str) -> EntryPoint:
    return EntryPoint(name, value, registry.GROUP)


#: A sound plug-in, one with a fault, one that takes a name of ours, and our own entry point.
FOUND = {
    "wave": (point("wave", "waves:ADAPTER"),),
    "reef": (point("reef", "reefs:ADAPTER"),),
    "svg": (point("svg", "adapters.svg:ADAPTER"),),
    "pdf": (point("pdf", "adapters.pdf:ADAPTER"), point("pdf", "a:B"), point("pdf", "c:D")),
}
#: Its file holds the settings and the number of strokes.
WAVE = SimpleNamespace(
    name="wave",
    write=lambda plan, settings: Written(f"{settings} {len(plan.strokes)}".encode(), ()),
)
DESCRIBED: Mapping[str, Any] = {"wave": WAVE, "reef": "Plug-in reef leaks."}


@pytest.fixture(autouse=True)
def _plugins(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plugins, "found", lambda: FOUND)
    monkeypatch.setattr(plugins, "described", DESCRIBED.__getitem__)


def test_the_names_of_formats() -> None:
    assert registry.installed_names() == (*OURS, "wave", "reef")
    assert registry.names() == (*OURS, "wave")
    assert registry.plugin_names() == ["wave", "reef"]
    assert [registry.installed(name) for name in ("svg", "wave", "reef", "tide")] == [
        True,
        True,
        True,
        False,
    ]


@pytest.mark.parametrize("name", OURS)
def test_our_own_format_of_that_name_is_used(name: str) -> None:
    assert registry.get(name).name == name
    assert registry.get(name) is registry.get(name)
    assert not registry.fault_of(name)


def test_a_sound_plug_in_is_used() -> None:
    assert registry.get("wave") is WAVE
    assert not registry.fault_of("wave")


def test_a_format_that_nobody_installed() -> None:
    assert not registry.fault_of("tide")
    with pytest.raises(UnknownFormatError) as caught:
        registry.get("tide")
    assert caught.value.message == (
        'There is no format "tide"; there are: svg, dxf, hpgl, gcode, pdf, plan, wave.'
    )
    assert caught.value.format_name == "tide"
    # Of a long name, 40 characters are repeated.
    with pytest.raises(UnknownFormatError, match=f'no format "{"t" * 40}"'):
        registry.get("t" * 99)


def test_a_plug_in_with_a_fault() -> None:
    assert registry.fault_of("reef") == "Plug-in reef leaks."
    with pytest.raises(BrokenPluginError) as caught:
        registry.get("reef")
    assert (caught.value.message, caught.value.format_name) == ("Plug-in reef leaks.", "reef")


def test_plug_ins_that_are_not_used_are_listed_by_name() -> None:
    faults = registry.faults()
    assert list(faults) == ["pdf", "reef"]
    assert faults["reef"] == "Plug-in reef leaks."
    assert faults["pdf"] == (
        "Plug-in pdf (a:B, c:D) takes a built-in format's name; it is not used, and the built-in "
        "format is."
    )


def test_writing_is_a_step_of_its_own() -> None:
    seen: list[tuple[str, Mapping[str, str | int]]] = []

    @contextmanager
    def note(name: str, about: Mapping[str, str | int]) -> Iterator[None]:
        seen.append((name, about))
        yield

    plan = sample_plan()
    with observed_by(note):
        assert registry.write("wave", plan, {"a": 1}).data == b"{'a': 1} 6"
    assert seen == [("write", {"format": "wave"})]
    registry.write("wave", plan, {})
    assert len(seen) == 1
