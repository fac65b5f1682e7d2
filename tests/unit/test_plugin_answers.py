"""What the child process of a plug-in answers to a request, for sound plug-ins and faulty ones.

Called in this process: the plug-ins here do no harm.
"""

from __future__ import annotations

import base64
import importlib
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from adapters.contract import CONTRACT
from adapters.plugin_child import Request, _answer
from adapters.registry import GROUP
from adapters.sample import sample_plan
from tests.roundtrip.odd_plugin import HEAD

Ask = Callable[..., dict[str, Any]]


@pytest.fixture
def ask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    """Return a function that sends a request to a plug-in whose class has this body."""
    monkeypatch.syspath_prepend(tmp_path)

    def ask(
        body: str,
        verb: str = "describe",
        *arguments: object,
        file_bytes: int = 1000,
        value: str = "asked_plugin:ADAPTER",
    ) -> dict[str, Any]:
        sys.modules.pop("asked_plugin", None)
        lines = "".join(f"    {line}\n" for line in body.splitlines())
        # Two that are written within a second would share a compiled file.
        monkeypatch.setattr(sys, "dont_write_bytecode", True)
        (tmp_path / "asked_plugin.py").write_text(f"{HEAD}{lines}\nADAPTER = ADAPTER()")
        importlib.invalidate_caches()
        return _answer(Request(("odd", value, GROUP), verb, arguments, file_bytes))

    return ask


def test_a_description(ask: Ask) -> None:
    body = """
title, media_type, extension = "Odd", "text/x-odd", "tar.odd"
supports, resolution = frozenset({"stations", "arcs"}), 0.5
settings = (Setting("head", "choice", "a head", "knife", choices=("knife", "beam")),)
def read(self, data, plan, settings): return []
"""
    said = ask(body)["done"]
    (setting,) = said.pop("settings")
    assert said == {
        "title": "Odd",
        "media_type": "text/x-odd",
        "extension": "tar.odd",
        "supports": ["arcs", "stations"],
        "resolution": 0.5,
        "reads": True,
        "sized": False,
    }
    assert (setting["name"], setting["type"], setting["default"]) == ("head", "choice", "knife")
    assert setting["choices"] == ["knife", "beam"]
    sized = ask("read = 3\ndef resolution_for(self, settings): return 0.2")["done"]
    assert (sized["reads"], sized["sized"], sized["settings"]) == (False, True, [])


WRITES = "def write(self, plan, settings): "


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        ("contract = 0", f"was written for contract 0; this is {CONTRACT}"),
        ("name = 'even'", "has the name 'even'; both names must agree"),
        ("title = 3", "states title '3', which is not valid"),
        ("media_type = 3", "states media_type '3', which is not valid"),
        ("media_type = 'text'", "states media_type 'text', which is not valid"),
        ("media_type = 'text/odd; x'", "states media_type 'text/odd; x', which is not valid"),
        ("extension = '.odd'", "states extension '.odd', which is not valid"),
        ("extension = 'a/b'", "states extension 'a/b', which is not valid"),
        ("extension = 7", "states extension '7', which is not valid"),
        ("supports = ['magic']", "states supports \"['magic']\", which is not valid"),
        ("resolution = 0.0", "states resolution '0.0', which is not valid (at most 0.5 mm)"),
        ("resolution = 0.51", "states resolution '0.51', which is not valid (at most 0.5 mm)"),
        ("resolution = 'fine'", "states resolution 'fine', which is not valid (at most 0.5 mm)"),
        (f"media_type = '{'x' * 99}'", f"states media_type '{'x' * 60}', which is not valid"),
        ("settings = (3,)", "cannot be described: TypeError: a setting is no Setting"),
        (WRITES + "raise OSError('no')", "failed while writing: OSError: no"),
        (WRITES + "raise MemoryError", "failed while writing and ran out of memory"),
        (WRITES + "sys.exit()", "failed while writing and ended the process"),
        (WRITES + "return None", "returned NoneType instead of a written file"),
        (WRITES + "return Written('text')", "returned Written instead of a written file"),
        (WRITES + "return Written(b'x' * 1001)", "wrote 1001 bytes; the limit is 1000"),
        (WRITES + "return Written(b'odd', ['stops'])", "lists losses that are not text"),
        (WRITES + "return Written(b'odd', ('stops', 3))", "lists losses that are not text"),
        (
            WRITES + "return Written(str(time.monotonic_ns()).encode())",
            "writes different files for the same plan",
        ),
        (WRITES + "return Written(b'')", "wrote an empty file"),
        (
            "supports = ['stops', 'arcs']",
            "says that it holds stops, and writes the same file without them",
        ),
    ],
)
def test_faults(ask: Ask, body: str, fault: str) -> None:
    assert ask(body) == {"fault": fault}


def test_what_is_no_adapter_or_cannot_be_loaded(ask: Ask) -> None:
    assert ask("pass", value="asked_plugin:straight") == {"fault": "is not an adapter"}
    fault = ask("raise KeyError(1)")["fault"]
    assert fault == "could not be loaded: KeyError: 1"
    missing = _answer(Request(("odd", "no_such_module:ADAPTER", GROUP), "describe", (), 1000))
    assert missing["fault"].startswith("could not be loaded: ModuleNotFoundError: ")


def test_a_file_as_large_as_allowed(ask: Ask) -> None:
    assert "done" in ask("pass", file_bytes=3)
    assert ask("pass", file_bytes=2) == {"fault": "wrote 3 bytes; the limit is 2"}


def test_stops_that_are_in_the_file(ask: Ask) -> None:
    body = "supports = ['stops', 'arcs']\n" + WRITES
    assert "done" in ask(body + "return Written(b'stop ' * len(plan.stops) + b'.')")


def test_settings_that_a_machine_needs_are_not_known_to_the_trial(ask: Ask) -> None:
    for error in ("SettingError('no', setting='head')", "CannotHoldError('no')"):
        assert "done" in ask(f"{WRITES}raise {error}")


def test_a_written_file(ask: Ask) -> None:
    body = WRITES + "return Written(f'{plan.title} {settings}'.encode(), ('no stops.', 'b'))"
    done = ask(body, "write", sample_plan(), {"a": 1})["done"]
    assert base64.b64decode(done["data"]) == b"Conformance {'a': 1}"
    assert done["losses"] == ["no stops.", "b"]


def test_an_error_of_our_classes_is_the_plug_in_s_own_answer(ask: Ask) -> None:
    raises = "raise SettingError('h' * 3000, setting='head')"
    assert ask(WRITES + raises, "write", sample_plan(), {}) == {
        "refused": "setting",
        "text": "h" * 2000,
        "setting": "head",
    }
    for error in ("CannotHoldError", "__import__('adapters.errors').errors.AdapterError"):
        answer = ask(f"{WRITES}raise {error}('w' * 3000)", "write", sample_plan(), {})
        assert answer == {"refused": "hold", "text": "w" * 2000}


def test_long_faults_are_cut(ask: Ask) -> None:
    fault = ask(WRITES + "raise OSError('w' * 999)", "write", sample_plan(), {})["fault"]
    assert fault == ("failed while writing: OSError: " + "w" * 999)[:300]
    # A fault that is none of those that are foreseen: strokes that are no numbers of any kind.
    plain = ask("pass", "write", sample_plan())["fault"]
    assert plain.startswith("failed: ValueError: ")


READS = """
def read(self, data, plan, settings):
    return [straight([Point(0, 0), Point(4, int(data) + settings["up"])], closed=False, group="g")]
"""


READ = "def read(self, data, plan, settings): "
FAILED = "failed while reading: "
FROM_PLAN = """
def read(self, data, plan, settings):
    from adapters.split import chords
    return [straight(chords(s, 0.01), closed=s.closed, group=s.operation) for s in plan.strokes]
"""


def test_strokes_that_it_reads(ask: Ask) -> None:
    """A line: its middle, then its end."""
    answer = ask(READS, "read", b"6", sample_plan(), {"up": 2})
    assert answer == {"done": [[[0.0, 0.0], [[2.0, 4.0, 4.0, 8.0]], False, "g"]]}


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        (READ + "return [3]", "read something other than strokes"),
        (READ + "raise OSError('no')", "failed while reading: OSError: no"),
        (READ + "return [straight([Point('a', 0)], closed=False, group='g')]", FAILED),
        (FROM_PLAN, "reads the plan that it is given instead of the file"),
        ("pass", "failed: AttributeError: "),
    ],
)
def test_faults_of_readers(ask: Ask, body: str, fault: str) -> None:
    assert ask(body, "read", b"odd", sample_plan(), {})["fault"].startswith(fault)


@pytest.mark.parametrize(
    ("value", "answer"),
    [
        ("settings['mm']", {"done": 0.25}),
        ("'0.5'", {"done": 0.5}),
        ("0.0", {"fault": "states resolution 0.0, which is not valid"}),
        ("0.51", {"fault": "states resolution 0.51, which is not valid"}),
        ("1 / 0", {"fault": "cannot state its resolution: ZeroDivisionError: division by zero"}),
    ],
)
def test_resolutions(ask: Ask, value: str, answer: dict[str, Any]) -> None:
    body = f"def resolution_for(self, settings): return {value}"
    assert ask(body, "resolution", {"mm": 0.25}) == answer
