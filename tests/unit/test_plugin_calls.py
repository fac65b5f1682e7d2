"""How plug-ins are found, and what is made of the answers of their processes; none is started."""

from __future__ import annotations

import base64
import os
import pickle
import signal
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from importlib.metadata import EntryPoint
from pathlib import Path
from types import SimpleNamespace
from typing import IO, Any

import pytest

from adapters import plugins
from adapters.contract import CONTRACT, Setting
from adapters.errors import BrokenPluginError, CannotHoldError, SettingError
from adapters.plugin_child import Request
from adapters.readers.strokes import ReadSegment, ReadStroke
from adapters.sample import sample_plan
from adapters.sandbox.limits import ProcessLimits
from geometry.model.points import Point

POINT = EntryPoint("wave", "waves:ADAPTER", plugins.GROUP)
PLAN = sample_plan()
DESCRIPTION: Mapping[str, Any] = {
    "title": "Wave",
    "media_type": "text/x-wave",
    "extension": "wav",
    "supports": ["arcs", "stops"],
    "resolution": "0.25",
    "settings": [
        {**vars(Setting("head", "choice", "a head")), "choices": ["a", "b"]},
        {**vars(Setting("power", "number", "power")), "only_with": ["head", "b"]},
    ],
    "reads": True,
    "sized": True,
}


class Process:
    """Answers in place of a process, and notes what is asked of it."""

    def __init__(self) -> None:
        self.answer: dict[str, Any] = {"done": DESCRIPTION}
        self.asked: list[Request] = []
        self.seconds: list[float] = []

    def call(self, request: Request, seconds: float) -> dict[str, Any]:
        self.asked.append(request)
        self.seconds.append(seconds)
        return self.answer


@pytest.fixture
def process(monkeypatch: pytest.MonkeyPatch) -> Process:
    made = Process()
    monkeypatch.setattr(plugins, "_call", made.call)
    monkeypatch.delenv("PLUGINS_CANNOT_READ", raising=False)
    monkeypatch.setattr(plugins, "found", lambda: {"wave": (POINT,)})
    monkeypatch.setattr(plugins, "described", plugins.described.__wrapped__)
    return made


def described() -> plugins.Plugin:
    plugin = plugins.described("wave")
    assert isinstance(plugin, plugins.Plugin)
    return plugin


def test_a_description_becomes_an_adapter(process: Process) -> None:
    plugin = described()
    assert (plugin.point, plugin.name, plugin.title) == (POINT, "wave", "Wave")
    assert (plugin.media_type, plugin.extension) == ("text/x-wave", "wav")
    assert sorted(plugin.supports) == ["arcs", "stops"]
    assert plugin.resolution == 0.25
    assert plugin.contract == CONTRACT
    assert plugin.settings == (
        Setting("head", "choice", "a head", choices=("a", "b")),
        Setting("power", "number", "power", only_with=("head", "b")),
    )
    (request,) = process.asked
    assert request == Request(
        ("wave", "waves:ADAPTER", plugins.GROUP), "describe", (), plugins.MAX_BYTES, ()
    )
    # A trial has half the time that a file has.
    assert process.seconds == [10.0]


def test_only_what_a_plug_in_has_is_called(process: Process) -> None:
    process.answer = {"done": {**DESCRIPTION, "reads": False, "sized": False}}
    plugin = described()
    assert plugin.read is None
    assert plugin.resolution_for is None


def test_a_file(process: Process) -> None:
    plugin = described()
    process.answer = {"done": {"data": base64.b64encode(b"\x00wave").decode(), "losses": ["no."]}}
    written = plugin.write(PLAN, {"head": "b"})
    assert (written.data, written.losses) == (b"\x00wave", ("no.",))
    request = process.asked[-1]
    assert (request.verb, request.arguments) == ("write", (PLAN, {"head": "b"}))
    assert process.seconds[-1] == 20.0


def test_strokes_and_resolutions(process: Process) -> None:
    plugin = described()
    assert plugin.read is not None
    assert plugin.resolution_for is not None
    process.answer = {"done": [[[1.0, 2.0], [[3.0, 4.0, 5.0, 6.0]], 1, "cut"]]}
    assert plugin.read(b"wave", PLAN, {"a": 1}) == [
        ReadStroke(Point(1.0, 2.0), (ReadSegment(Point(3.0, 4.0), Point(5.0, 6.0)),), True, "cut")
    ]
    request = process.asked[-1]
    assert (request.verb, request.arguments) == ("read", (b"wave", PLAN, {"a": 1}))
    process.answer = {"done": 0.125}
    assert plugin.resolution_for({"a": 2}) == 0.125
    request = process.asked[-1]
    assert (request.verb, request.arguments) == ("resolution", ({"a": 2},))


def test_errors_name_the_plug_in(process: Process) -> None:
    plugin = described()
    process.answer = {"fault": "leaks"}
    with pytest.raises(BrokenPluginError) as broken:
        plugin.write(PLAN, {})
    assert broken.value.message == "Plug-in wave (waves:ADAPTER) leaks."
    assert broken.value.format_name == "wave"
    assert plugins.described("wave") == "Plug-in wave (waves:ADAPTER) leaks."
    process.answer = {"refused": "setting", "text": "Too deep.", "setting": "depth"}
    with pytest.raises(SettingError) as setting:
        plugin.write(PLAN, {})
    assert (setting.value.message, setting.value.setting) == ("Too deep.", "depth")
    assert setting.value.format_name == "wave"
    process.answer = {"refused": "hold", "text": "Too wide."}
    with pytest.raises(CannotHoldError) as hold:
        plugin.write(PLAN, {})
    assert (hold.value.message, hold.value.format_name) == ("Too wide.", "wave")


def test_names_that_are_not_used(process: Process, monkeypatch: pytest.MonkeyPatch) -> None:
    two = (POINT, EntryPoint("wave", "others:ADAPTER", plugins.GROUP))
    names = {"wave": two, "Wave": two[:1], "wa-ve": two[:1], "-" * 99: two[:1], "wave_2": two[:1]}
    monkeypatch.setattr(plugins, "found", lambda: names)
    assert plugins.described("wave") == (
        "Several plug-ins have the name wave: waves:ADAPTER, others:ADAPTER. None of them is used."
    )
    for name in ("Wave", "wa-ve", "-" * 99):
        assert plugins.described(name) == (
            f"Plug-in {name[:40]} needs a name of small letters, digits and underscores."
        )
    assert process.asked == []
    assert isinstance(plugins.described("wave_2"), plugins.Plugin)


def test_entry_points_by_name(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same entry point may be found twice, as in a checkout that is installed."""
    group = plugins.GROUP
    listed = [EntryPoint("b", "y:Y", group), POINT, EntryPoint("b", "x:X", group), POINT]
    monkeypatch.setattr(plugins, "entry_points", lambda *, group: listed if group else [])
    found = plugins.found.__wrapped__()
    assert list(found) == ["b", "wave"]
    assert [point.value for point in found["b"]] == ["x:X", "y:Y"]
    assert found["wave"] == (POINT,)


def test_time_limits_are_only_lowered(process: Process) -> None:
    plugin = described()
    process.answer = {"done": {"data": "", "losses": []}}
    process.seconds.clear()
    with plugins.within(7.0):
        plugin.write(PLAN, {})
        with plugins.within(9.0):
            plugin.write(PLAN, {})
        with plugins.within(3.0):
            plugin.write(PLAN, {})
        plugin.write(PLAN, {})
    plugin.write(PLAN, {})
    with pytest.raises(ZeroDivisionError), plugins.within(1.0):
        raise ZeroDivisionError
    plugin.write(PLAN, {})
    assert process.seconds == [7.0, 7.0, 3.0, 7.0, 20.0, 20.0]


def test_a_folder_that_plug_ins_cannot_read(
    process: Process, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Restored after the test.
    monkeypatch.setenv("PLUGINS_CANNOT_READ", "")
    (tmp_path / "data").mkdir()
    plugins.hide(tmp_path / "data" / ".." / "data")
    described()
    assert process.asked[-1].hidden == (str((tmp_path / "data").resolve()),)


REQUEST = Request(("wave", "waves:ADAPTER", plugins.GROUP), "describe", (PLAN,), 9)


@pytest.mark.parametrize(
    ("code", "written", "answer"),
    [
        (0, b'{"done": 3}', {"done": 3}),
        (0, b"", {"fault": "ended its process (exit code 0) and gave no answer"}),
        (3, b'{"done": 3}', {"fault": "ended its process (exit code 3) and gave no answer"}),
        (-signal.SIGSEGV, b"", {"fault": "ended its process (signal 11) and gave no answer"}),
        (-signal.SIGKILL, b"", {"fault": "was killed, possibly because memory ran out"}),
        (None, b"", {"fault": "gave no answer in 2.5 seconds and was stopped"}),
    ],
)
def test_what_a_process_is_given_and_how_it_ends(
    code: int | None, written: bytes, answer: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    @contextmanager
    def fresh_process(
        main: str, limits: ProcessLimits, *, stdin: IO[bytes], descriptors: Sequence[int]
    ) -> Iterator[object]:
        assert main == "adapters.plugin_child:main"
        # 2^30 bytes of memory, and four files of the largest size.
        assert limits == ProcessLimits(2.5, 1 << 30, 256_000_000)
        assert pickle.loads(stdin.read()) == REQUEST  # noqa: S301 - our own
        (descriptor,) = descriptors
        os.write(descriptor, written)
        yield SimpleNamespace(pid=7)

    def exit_code(process: SimpleNamespace, seconds: float) -> int | None:
        assert (process.pid, seconds) == (7, 2.5)
        return code

    monkeypatch.setattr(plugins, "fresh_process", fresh_process)
    monkeypatch.setattr(plugins, "exit_code", exit_code)
    assert plugins._call(REQUEST, 2.5) == answer
