"""How a writer did that was called once in a confined child."""

from __future__ import annotations

import os
import resource
import subprocess
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from adapters import confined_write
from adapters.confined_write import WriteOutcome, write_confined
from adapters.sample import sample_plan
from adapters.sandbox.confinement import landlock_version
from geometry.model.plan import CutPlan


class Writer:
    def __init__(self, do: Callable[[CutPlan, Mapping[str, Any]], object]) -> None:
        self.do = do

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> object:
        return self.do(plan, settings)


def outcome(do: Callable[[CutPlan, Mapping[str, Any]], object], **settings: object) -> WriteOutcome:
    """Return how a writer did; nothing of it is left when that is known."""
    before = len(list(Path("/proc/self/fd").iterdir()))
    found = write_confined(Writer(do), sample_plan(), settings)  # type: ignore[arg-type]
    assert len(list(Path("/proc/self/fd").iterdir())) == before
    return found


def failing(error: BaseException) -> Callable[[CutPlan, Mapping[str, Any]], object]:
    def fail(_plan: CutPlan, _settings: Mapping[str, Any]) -> None:
        raise error

    return fail


IS_CONFINED = bool(landlock_version())


def test_a_writer_that_writes() -> None:
    def write(plan: CutPlan, settings: Mapping[str, Any]) -> None:
        assert (plan, settings) == (sample_plan(), {"depth": 3})

    assert outcome(write, depth=3) == WriteOutcome("", False, IS_CONFINED)


def test_a_writer_that_raises_an_error() -> None:
    assert outcome(failing(KeyError(3))) == WriteOutcome("raised KeyError: 3", False, IS_CONFINED)
    assert outcome(failing(SystemExit(4))).fault == "raised SystemExit: 4"
    long = outcome(failing(OSError("w" * 999))).fault
    assert long == ("raised OSError: " + "w" * 999)[:500]


def test_a_writer_that_ends_its_process() -> None:
    for code in (0, 3):
        found = outcome(lambda *_, code=code: os._exit(code))
        assert found == WriteOutcome("ended its process", True, True)


def test_its_output_goes_nowhere_and_its_time_is_limited() -> None:
    nowhere = Path(os.devnull).stat().st_rdev

    def write(_plan: CutPlan, _settings: Mapping[str, Any]) -> None:
        assert [os.fstat(each).st_rdev for each in range(3)] == [nowhere] * 3
        soft, hard = resource.getrlimit(resource.RLIMIT_CPU)
        # A child that is forked begins with no time.
        assert soft in (20, 21)
        assert hard == soft + 1

    assert outcome(write).fault == ""


@pytest.mark.skipif(not IS_CONFINED, reason="this kernel has no Landlock: files are NOT closed")
def test_files_are_closed(tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("key")
    found = outcome(lambda *_: (tmp_path / "secret").read_text())
    assert found.fault.startswith("raised PermissionError: ")
    assert found.is_confined


@pytest.mark.parametrize("is_asleep", [True, False])
def test_a_writer_that_hangs(monkeypatch: pytest.MonkeyPatch, is_asleep: bool) -> None:
    monkeypatch.setattr(confined_write, "MAX_SECONDS", 1)

    def hang(_plan: CutPlan, _settings: Mapping[str, Any]) -> None:
        while True:
            if is_asleep:
                time.sleep(3600.0)

    assert outcome(hang) == WriteOutcome("gave no file in 1 second and was stopped", True, True)


def test_only_sleep_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A child that waits for a processor may take as long as it does."""
    receiver, sender = os.pipe()
    try:
        looks: list[int] = []

        def sleeps(child: int) -> bool:
            looks.append(child)
            if len(looks) == 30:
                os.write(sender, b"x")
            return False

        monkeypatch.setattr(confined_write, "MAX_SECONDS", 0.1)
        monkeypatch.setattr(confined_write, "_LOOK_S", 0.01)
        monkeypatch.setattr(confined_write, "_sleeps", sleeps)
        assert confined_write._wait(7, receiver)
        assert looks == [7] * 30
        os.read(receiver, 1)
        # Ten looks of a hundredth of a second, and one more where they do not add up exactly.
        looks.clear()

        def sleeps_on(child: int) -> bool:
            looks.append(child)
            return True

        monkeypatch.setattr(confined_write, "_sleeps", sleeps_on)
        assert not confined_write._wait(8, receiver)
        assert len(looks) in (10, 11)
    finally:
        os.close(receiver)
        os.close(sender)


def test_a_process_that_sleeps(tmp_path: Path) -> None:
    """``S`` of proc(5); the program's name before it, in brackets, may hold anything."""
    program = tmp_path / "é) R"
    program.symlink_to(Path("/bin/cat").resolve())
    with subprocess.Popen([program], stdin=subprocess.PIPE) as process:
        until = time.monotonic() + 60.0
        while not confined_write._sleeps(process.pid) and time.monotonic() < until:
            time.sleep(0.01)
        assert confined_write._sleeps(process.pid)
        assert not confined_write._sleeps(os.getpid())
        process.kill()
    assert confined_write._sleeps(process.pid)
