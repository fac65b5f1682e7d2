"""Comparison of a file's stops with those of its plan."""

from __future__ import annotations

from collections.abc import Sequence

from adapters.names import comment
from adapters.readers.strokes import ReadStop
from geometry.model.plan import CutPlan, Stop

#: Maximum characters of a stop's message in G-code.
MAX_MESSAGE = 500


def stop_fault(found: Sequence[ReadStop], plan: CutPlan, *, with_words: bool) -> str:
    """Return what is wrong with the first wrong stop of a file; empty if all stops are right.

    Args:
        found: the stops of a file.
        plan: from which the file was written.
        with_words: whether the messages for the operator are compared, too.
    """
    if len(found) != len(plan.stops):
        return f"the plan has {len(plan.stops)} stops, the file has {len(found)}"
    for number, (read, stop) in enumerate(zip(found, plan.stops, strict=True), start=1):
        name = f"stop {number} of {len(plan.stops)} ({stop.reason})"
        if read.before_stroke != stop.before_stroke:
            return (
                f"{name} comes after {stop.before_stroke} strokes in the plan and after "
                f"{read.before_stroke} in the file"
            )
        if with_words and _letters(read.words) not in _texts(stop):
            return f"{name} has other words for the operator: {read.words[:60]!r}"
    return ""


def _texts(stop: Stop) -> set[str]:
    """Return the texts that a file may have for a stop.

    Its message, as it is or in plain letters; its reason if the plain message is empty.
    """
    plain = comment(stop.message, MAX_MESSAGE)
    return {_letters(stop.message), _letters(plain) if plain else _letters(stop.reason)}


def _letters(text: str) -> str:
    # A file may break a long message into lines anywhere, so white space does not count.
    return "".join(text.split())
