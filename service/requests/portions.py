"""What a run cuts for all copies of a kit, from what it makes for one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from marshmallow import ValidationError

from service.requests.copies import Portion, Spares
from service.requests.pieces import MAX_QUANTITY
from service.requests.runs import Run
from service.schemas.errors import unusable


def uses_of(run: Run) -> int:
    """Return how often each cut piece is used: templates again and again, patches once."""
    return run.reuse if run.cut == "template" else 1


def for_copies(run: Run, copies: int, spares: Spares) -> Run:
    """Return a run that was loaded for one copy as it cuts all of them, spares included.

    Each copy has templates of its own, so what is used again is rounded up per copy.
    """
    uses = uses_of(run)
    needed = {piece: math.ceil(count / uses) for piece, count in run.quantities.items()}
    portions = {piece: Portion(count, spares.of(count)) for piece, count in needed.items()}
    quantities = run.quantities
    if copies > 1 or any(each.spares for each in portions.values()):
        quantities = {piece: each.total * copies * uses for piece, each in portions.items()}
    return replace(run, quantities=quantities, copies=copies, portions=portions)


def too_many_copies(runs: Sequence[Run], copies: int, spares: Spares) -> Iterator[ValidationError]:
    """Yield an error when copies of a kit add up to more of a piece than a kit may have."""
    most = {
        piece: portion.total
        for run in runs
        for piece, portion in for_copies(run, 1, spares).portions.items()
    }
    for piece, count in most.items():
        if count * copies > MAX_QUANTITY:
            yield unusable(
                f'{copies} copies with {count} of piece "{piece}" each are more than '
                f"{MAX_QUANTITY:,} pieces; ask for at most {MAX_QUANTITY // count} copies "
                "or for fewer pieces.",
                "copies" if copies > 1 else "spares",
            )
            return
