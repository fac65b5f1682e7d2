"""What a computation hands back to whoever asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Bundle:
    """An answer and the files that belong to it.

    ``answer`` holds plain JSON values; every ``href`` in it is relative (``files/NAME``).
    ``files`` maps a file's name to its bytes. ``cutters`` is the snapshot of each named cutter
    that was used, so that the same kit can be cut again after the saved one has changed.
    ``request`` is what was asked, as it was read.
    """

    answer: dict[str, Any]
    files: Mapping[str, bytes] = field(default_factory=dict)
    cutters: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    request: Mapping[str, Any] = field(default_factory=dict)
