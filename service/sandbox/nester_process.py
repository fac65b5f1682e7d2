"""The general nester in a process of its own, which can be ended at any moment.

The library ends its search by the clock alone and offers no way to end it earlier; a process can be
killed. Its results follow from its input and seed, in one order, however fast the machine is: a
caller that reads the lines and stops at one of them gets the same answer every time.

Reads one line of JSON from its input and writes one line for each event:

    {"found": width, "placed": [[piece, x, y, turn_deg], ...]}   all lie apart at this width
    {"step": 1}                                                 a step towards a shorter one
    {"failed": width}                                           an attempt was given up
    {"done": 1}                                                 the search ended by itself

The library searches in two phases, exploration and compression. The first one ends after ten failed
attempts at one width, the second one when its steps have become too small for many failures: never
by the clock, which is given far more time than anybody waits.

It starts in a tenth of a second because it imports none of the service but this module.
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

#: Pause between two looks at what was reported, s.
_PAUSE = 0.004


def main(lifeline: int) -> None:
    """Answer one question in a process that ends with its parent."""
    end_with(lifeline)
    answer(sys.stdin, sys.stdout)


def answer(asked: TextIO, out: TextIO) -> None:
    """Answer one question and end this process."""
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
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        min_items_separation=question["gap"],
        total_computation_time=None,
        exploration_time=question["seconds"],
        compression_time=question["seconds"],
        num_workers=1,
        seed=question["seed"],
    )
    solving = threading.Thread(target=instance.solve, args=(config, queue), daemon=True)
    solving.start()
    lines = _Lines(queue, out, question["enough"], is_compressed=question["compressed"])
    while solving.is_alive() and not lines.written():
        solving.join(_PAUSE)
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
        is_compressed: whether the second phase is written too.
        width: the smallest so far.
        tried: of the attempt that is going on; 0 before its first report.
    """

    queue: Any
    out: TextIO
    enough: float
    is_compressed: bool
    width: float = math.inf
    tried: float = 0.0
    is_over: bool = False

    def written(self) -> bool:
        """Write what was reported since the last look; return whether no more is written."""
        for kind, solution in self.queue.drain():
            name = str(kind).rsplit(".", maxsplit=1)[-1]
            self.is_over = self.is_over or name == "Final"
            self.is_over = self.is_over or (name == "CmprFeas" and not self.is_compressed)
            if self.is_over:
                break
            for line in self._lines_of(name, solution):
                print(json.dumps(line), file=self.out, flush=True)
        return self.is_over

    def _lines_of(self, name: str, solution: Any) -> Iterator[dict[str, Any]]:  # noqa: ANN401
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
