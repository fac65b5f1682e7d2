"""The folder in which the processes of one server share figures.

Expected values follow from the text of each function; there is no outside source for them.
"""

from __future__ import annotations

import errno
import os
import shutil
import struct
import tempfile
from pathlib import Path
from typing import Any

import pytest
from prometheus_client import values

from service.http import shared_figures
from service.http.shared_figures import FOLDER, allocate, shared_folder, shrink


@pytest.fixture(name="memory", autouse=True)
def _memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Stand in for the memory file system."""
    memory = tmp_path / "memory"
    memory.mkdir()
    monkeypatch.setattr(shared_figures, "_MEMORY", memory)
    monkeypatch.setattr(tempfile, "gettempdir", lambda: str(tmp_path / "none"))
    monkeypatch.delenv(FOLDER, raising=False)
    return memory


def test_the_folder_is_there_until_the_server_ends(memory: Path) -> None:
    with shared_folder(2) as folder:
        assert folder is not None
        assert Path(folder).parent == memory
        assert Path(folder).is_dir()
    assert list(memory.iterdir()) == []


def test_a_forked_process_leaves_the_folder_alone(
    memory: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with shared_folder(1) as folder:
        monkeypatch.setattr(os, "getpid", lambda: -1)
    assert [str(each) for each in memory.iterdir()] == [folder]


def test_without_room_each_process_counts_alone(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    full = shutil.disk_usage("/")._replace(free=0)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: full)
    with shared_folder(1) as folder:
        assert folder is None
    assert "counts alone" in caplog.text


def test_only_folders_of_killed_servers_are_removed(memory: Path) -> None:
    abandoned, other = memory / "quarterseam-figures-a", memory / "other"
    for each in (abandoned, other):
        each.mkdir()
        (each / "lock").touch()
    with shared_folder(1) as running:
        assert not abandoned.exists()
        assert other.exists()
        with shared_folder(1) as second:
            assert running is not None
            assert Path(running).exists()
            assert second != running


def test_files_are_allocated_before_they_are_mapped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    allocate()
    assert list(tmp_path.glob("*.db")) == []
    monkeypatch.setenv(FOLDER, str(tmp_path))
    allocate()
    sizes = {each.name: each.stat().st_size for each in tmp_path.glob("*.db")}
    process = os.getpid()
    assert sizes == {
        f"counter_{process}.db": 1 << 17,
        f"histogram_{process}.db": 1 << 19,
        f"gauge_livesum_{process}.db": 1 << 16,
    }


def test_a_full_volume_makes_a_process_count_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setenv(FOLDER, str(tmp_path))
    monkeypatch.setattr(values, "ValueClass", values.ValueClass)
    monkeypatch.setattr(os, "posix_fallocate", full)
    allocate()
    assert values.ValueClass is values.MutexValue
    assert FOLDER not in os.environ


def test_files_of_an_ended_process_shrink_to_the_pages_they_use(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(FOLDER, str(tmp_path))
    for kind, used in (("counter", 5000), ("histogram", 0)):
        data = struct.pack("i", used) + b"x" * 20_000
        (tmp_path / f"{kind}_7.db").write_bytes(data)
    shrink(7)
    assert (tmp_path / "counter_7.db").stat().st_size == 8192
    assert (tmp_path / "histogram_7.db").stat().st_size == 4096
    # A process that counted nothing has no files.
    shrink(8)
