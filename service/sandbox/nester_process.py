"""The general nester in a process of its own, which can be ended at any moment.

The library ends its search by the clock alone and offers no way to end it earlier; a process can be
killed. Its results follow from its input and seed, in one order, however fast the machine is: a
caller that reads the lines and stops at one of them gets the same answer every time.

Reads one line of JSON from its input and writes one line for each event:

    {"found": width, "placed": [[piece, x, y, turn_deg], ...]}   all lie apart at this width
    {"step": 1}                                                 a step towards a shorter one
    {"failed": width}                                           an attempt was given up
    {"compressing": 1}                                          the second phase has begun
    {"again": seconds}                                          to be asked again with this time
    {"done": 1}                                                 the search ended by itself

The library searches in two phases, exploration and compression. The first one ends after ten failed
attempts at one width, the second one when its steps have become too small for many failures: never
by the clock, which is given far more time than anybody waits. Where the first one is to end after
so many steps, see ``first_phase.py``.

It starts in a tenth of a second because it imports none of the service but what is beside it.
"""

from __future__ import annotations

import json
import math
import os
import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TextIO

from adapters.sandbox.limits import end_with
from service.sandbox.first_phase import FirstPhase, Pause, pause_of

#: Pause between two looks at what was reported, s; and where this process has to stop soon.
_PAUSE, _SHORT_PAUSE = 0.004, 0.0003


def main(lifeline: int) -> None:
    """Answer one question in a process that ends with its parent."""
    # Before there is a second thread: it forks.
    pause = pause_of()
    end_with(lifeline)
    answer(sys.stdin, sys.stdout, pause)


def answer(asked: TextIO, out: TextIO, pause: Pause | None = None) -> None:
    """Answer one question and end this process, which ``pause`` puts to sleep."""
    import spyrrow  # noqa: PLC0415 - only this process needs it

    question = json.loads(asked.readline())
    queue = spyrrow.ProgressQueue()
    instance = spyrrow.StripPackingInstance(
        "",
        strip_height=question["height"],
        items=[
            spyrrow.Item(piece, [(x, y) for x, y in points], count, turns)
            for piece, points, count, turns in question["items"]
        ],
    )
    first = None
    if question["first_phase"] is not None and pause is not None:
        first = FirstPhase(**question["first_phase"], pause=pause)
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        min_items_separation=question["gap"],
        total_computation_time=None,
        exploration_time=question["seconds"] if first is None else first.seconds,
        compression_time=question["seconds"],
        num_workers=1,
        seed=question["seed"],
    )
    solving = threading.Thread(target=instance.solve, args=(config, queue), daemon=True)
    solving.start()
    lines = _Lines(queue, out, question["enough"], first)
    while solving.is_alive() and not lines.written():
        is_near = first is not None and first.is_near
        solving.join(_SHORT_PAUSE if is_near else _PAUSE)
    lines.written()
    print(json.dumps({"done": 1}), file=out, flush=True)
    # The library cannot be stopped: its thread ends with the process.
    os._exit(0)


@dataclass
class _Lines:
    """The lines that reports of the library become.

    Attributes:
        queue: where the library reports.
        out: where the lines go.
        enough: width from which on places are written.
        first: the end of the first phase; ``None`` where nothing of the second is written.
        width: the smallest so far.
        tried: of the attempt that is going on; 0 before its first report.
    """

    queue: Any
    out: TextIO
    enough: float
    first: FirstPhase | None = None
    width: float = math.inf
    tried: float = 0.0
    is_over: bool = False

    def written(self) -> bool:
        """Write what was reported since the last look; return whether no more is written."""
        for kind, solution in self.queue.drain():
            name = str(kind).rsplit(".", maxsplit=1)[-1]
            self.is_over = self.is_over or name == "Final"
            self.is_over = self.is_over or (name == "CmprFeas" and self.first is None)
            if self.is_over:
                break
            for line in self._lines_of(name, solution):
                print(json.dumps(line), file=self.out, flush=True)
            if self.is_over:
                break
        return self.is_over

    def _lines_of(self, name: str, solution: Any) -> Iterator[dict[str, Any]]:  # noqa: ANN401
        """Return the lines that a report becomes, and let the first phase end when it is due."""
        first = self.first
        if first is None or first.is_over:
            yield from self._plain_lines_of(name, solution)
            return
        is_found = name == "ExplFeas" and solution.width < self.width
        again = first.seconds_again(is_found=is_found)
        if again is not None:
            self.is_over = True
            yield {"again": again}
        elif first.ends_with(name):
            yield {"compressing": 1}
            yield from self._plain_lines_of(name, solution)
        # What it reports before it notices that its time is over depends on the machine.
        elif not first.is_paused:
            for line in self._plain_lines_of(name, solution):
                first.pay(line)
                yield line
            if is_found or name == "ExplInfeas":
                first.sleep_if_paid()

    def _plain_lines_of(self, name: str, solution: Any) -> Iterator[dict[str, Any]]:  # noqa: ANN401
        if name == "ExplInfeas":
            yield {"failed": solution.width}
        elif name == "ExplImproving":
            # The second phase reports no failure: it goes on at another width.
            if self.tried not in {0.0, solution.width}:
                yield {"failed": self.tried}
            self.tried = solution.width
            yield {"step": 1}
        elif solution.width >= self.width:
            yield {"step": 1}
        else:
            self.width, self.tried = solution.width, 0.0
            line: dict[str, Any] = {"found": self.width}
            if self.width <= self.enough:
                line["placed"] = [
                    (each.id, *each.translation, each.rotation) for each in solution.placed_items
                ]
            yield line
