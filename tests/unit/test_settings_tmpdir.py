"""A temporary folder whose path leaves no room for a socket's is refused at the start."""

from __future__ import annotations

import socket
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.settings import Settings, SettingsError, from_environment


@pytest.fixture
def room() -> Iterator[Path]:
    # The tests' own folders have long paths already.
    with tempfile.TemporaryDirectory(dir="/tmp") as folder:
        yield Path(folder)


def _folder(room: Path, length: int) -> Path:
    """Return a new folder whose path has so many bytes."""
    folder = room / ("x" * (length - len(str(room)) - 1))
    (folder / "pymp-12345678").mkdir(parents=True)
    return folder


def _bind(folder: Path) -> None:
    # What Python's multiprocessing adds to the folder.
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(str(folder / "pymp-12345678" / "listener-12345678"))


def test_the_longest_path_in_which_children_can_be_asked_for_is_taken(room: Path) -> None:
    folder = _folder(room, 75)
    _bind(folder)
    assert len(str(folder)) == 75
    assert isinstance(from_environment({"TMPDIR": str(folder)}), Settings)


def test_a_longer_one_is_refused_with_its_length(room: Path) -> None:
    folder = _folder(room, 76)
    with pytest.raises(OSError, match="too long"):
        _bind(folder)
    with pytest.raises(SettingsError, match="at most 75 bytes; it has 76"):
        from_environment({"TMPDIR": str(folder)})
