"""The general nester in a process of its own, which can be ended at any moment.

The library ends its search by the clock alone and offers no way to end it earlier; a process can be
killed. Its results follow from its input and seed, in one order, however fast the machine is: a
caller that reads the lines and stops at one of them gets the same answer every time.

Reads one line of JSON from its input and writes one line for each event:

    {"found": width, "placed": [[piece, x, y, turn_deg], ...]}   all lie apart at this width
    {"step": 1}                                                 a step towards a shorter one
    {"failed": width}                                           an attempt was given up
    {"done": width}                                             the exploration ended by itself

The library searches in two phases. It goes from the first to the second by its clock, so that what
comes of the second would differ from run to run: only the first one, the exploration, is asked for.

It starts in a tenth of a second because it imports none of the service but this module.
"""

from __future__ import annotations

import json
import os
import sys
import threading
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
    width = float("inf")
    while solving.is_alive() and width > 0.0:
        solving.join(_PAUSE)
        width = _written(queue, width, question["enough"], out)
    _written(queue, width, question["enough"], out)
    print(json.dumps({"done": 1}), file=out, flush=True)
    # The library cannot be stopped: its thread ends with the process.
    os._exit(0)


def _written(
    queue: Any,  # noqa: ANN401
    width: float,
    enough: float,
    out: TextIO,
) -> float:
    """Write what was reported since the last look; return the smallest width, 0 at the end."""
    for kind, solution in queue.drain():
        if width <= 0.0:
            break
        name = str(kind).rsplit(".", maxsplit=1)[-1]
        line: dict[str, Any] = {"step": 1}
        if name == "ExplInfeas":
            line = {"failed": solution.width}
        elif name in {"Final", "CmprFeas"}:
            width = 0.0
            break
        elif name == "ExplFeas" and solution.width < width:
            width = solution.width
            line = {"found": width}
            if width <= enough:
                line["placed"] = [
                    (each.id, *each.translation, each.rotation) for each in solution.placed_items
                ]
        print(json.dumps(line), file=out, flush=True)
    return width
