"""The way of a seam allowance of "1/4" from a kit's request to the SVG file, traced frame by frame.

A length that is passed on by many functions, under many names, is one that somebody will convert
twice. Where there is a choice, this test counts more rather than less: all of our frames above
geometry that are on the stack count, not only those that hold the length.
"""

from __future__ import annotations

import json
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.sandbox import child

ROOT = Path(__file__).resolve().parents[2]
#: Frames of ours above geometry that may lie on the stack at any place of the way.
MAX_FRAMES = 14
#: A child's own frames below its task: ``serve`` and ``_outcome``, which the test leaves out.
CHILD_FRAMES = 2
TEXT, MM = "1/4", 6.35
KIT = {
    "title": "",
    "units": "in",
    "documents": [],
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 4,
            "seam_allowance": TEXT,
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "material": {"kind": "card"},
            "formats": ["svg"],
        }
    ],
}


class Walk:
    """What a profile of the calls finds."""

    def __init__(self) -> None:
        #: Names of variables that hold the length, by the function.
        self.names: dict[str, set[str]] = {}
        #: Our functions above geometry on the stack, from the outermost, by the function called.
        self.stacks: dict[str, list[str]] = {}
        self.is_written = False
        self._added = 0

    def __call__(self, frame: FrameType, event: str, _: object) -> None:
        if self.is_written or event not in {"call", "return"}:
            return
        called = _ours(frame)
        if called is None:
            return
        holding = {name for name, value in frame.f_locals.items() if _is_length(value)}
        if holding and not called.startswith("geometry/"):
            self.names.setdefault(called, set()).update(holding)
        if holding or called.startswith(("geometry/offset/", "adapters/svg.py")):
            stack = [*([""] * self._added), *_above_geometry(frame)]
            if len(stack) > len(self.stacks.get(called, [])):
                self.stacks[called] = stack
        # The answer and its number of the allowance come later.
        self.is_written = called == "adapters/svg.py write" and event == "return"

    def in_child(self, task: Callable[..., Any], arguments: Any) -> Any:
        """Return what a task returns, traced on a stack of its own, as in a child."""
        done: list[Any] = []

        def work() -> None:
            sys.setprofile(self)
            done.append(task(*arguments))

        self._added = CHILD_FRAMES
        thread = threading.Thread(target=work)
        thread.start()
        thread.join()
        self._added = 0
        return done[0]


def _is_length(value: object) -> bool:
    return value == TEXT if isinstance(value, str) else isinstance(value, float) and value == MM


def _ours(frame: FrameType) -> str | None:
    place = Path(frame.f_code.co_filename)
    if not place.is_relative_to(ROOT):
        return None
    module = place.relative_to(ROOT)
    if module.parts[0] not in {"geometry", "adapters", "service"}:
        return None
    return f"{module} {frame.f_code.co_name}"


def _above_geometry(frame: FrameType | None) -> Iterator[str]:
    """Yield our functions on the stack, the innermost first, without those of geometry."""
    while frame is not None:
        found = _ours(frame)
        if found is not None and not found.startswith("geometry/"):
            yield found
        frame = frame.f_back


@pytest.fixture
def walk(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> Walk:
    walk = Walk()
    # What is imported at the first request is not part of the way. That one has another allowance,
    # so that no patch of this one is known.
    other = json.loads(json.dumps(KIT).replace("1/4", "3/8"))
    assert client.post("/v1/kits", json=other).status_code == 201
    monkeypatch.setattr(child, "run", lambda task, arguments, **_: walk.in_child(task, arguments))
    sys.setprofile(walk)
    try:
        answered = client.post("/v1/kits", json=KIT)
    finally:
        sys.setprofile(None)
    assert answered.status_code == 201
    return walk


def test_the_whole_way_is_seen(walk: Walk) -> None:
    """The checks below say nothing of a way that was not followed."""
    assert walk.is_written
    assert "service/schemas/fields.py _read" in walk.names
    assert "geometry/offset/allowance.py make_patch" in walk.stacks
    assert "adapters/svg.py write" in walk.stacks


def test_it_passes_few_frames(walk: Walk) -> None:
    longest = max(walk.stacks.values(), key=len)
    assert len(longest) <= MAX_FRAMES, "\n".join(longest)
    assert len(walk.names) <= MAX_FRAMES, sorted(walk.names)


def test_it_keeps_one_name(walk: Walk) -> None:
    """Fields, which do not know what they load, call it ``value``, as marshmallow does."""
    names = {
        name
        for function, held in walk.names.items()
        for name in held
        if not function.startswith("service/schemas/")
    }
    assert names == {"seam_allowance"}
    of_fields = {
        name
        for function, held in walk.names.items()
        for name in held
        if function.startswith("service/schemas/")
    }
    assert of_fields == {"value"}
