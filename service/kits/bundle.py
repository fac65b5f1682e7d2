"""What a computation returns to its caller."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from service.answers.kits import LayoutsAnswer


@dataclass(frozen=True)
class Archive:
    """A kit's zip and its SHA-256; ``files`` has each file's size, bytes, and SHA-256."""

    data: bytes
    sha256: str
    files: Mapping[str, tuple[int, str]]


@dataclass(frozen=True)
class Bundle:
    """An answer and the files that belong to it.

    Every ``href`` in the ``answer`` is relative (``files/NAME``).
    ``files`` maps a file's name to its bytes. ``cutters`` is the snapshot of each named cutter
    that was used, so that the same kit can be cut again after the saved one has changed.
    ``request`` is what was asked, as it was read. ``archive`` is the zip of a kit that is to be
    stored, made where the kit was, so that a server's threads neither pack nor hash; the files
    are in it alone then.
    """

    answer: LayoutsAnswer
    files: Mapping[str, bytes] = field(default_factory=dict)
    cutters: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    request: Mapping[str, Any] = field(default_factory=dict)
    archive: Archive | None = None
