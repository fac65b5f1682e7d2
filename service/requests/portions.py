"""What a run cuts for all copies of a kit, from what it makes for one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from marshmallow import ValidationError

from geometry.sentences import number_of
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
            yield unusable(_too_many(piece, count, copies), "copies" if copies > 1 else "spares")
            return


def _too_many(piece: str, count: int, copies: int) -> str:
    """Say how many copies of so many pieces a kit may have, as far as it may have one at all."""
    limit = f"{MAX_QUANTITY:,} pieces"
    if copies == 1:
        return (
            f'{count:,} of piece "{piece}", spares counted, are more than {limit}; ask for fewer.'
        )
    allowed = MAX_QUANTITY // count
    fewer = f"at most {number_of(allowed, 'copy', 'copies')} or for " if allowed else ""
    return (
        f'{copies:,} copies with {count:,} of piece "{piece}" each are more than {limit}; '
        f"ask for {fewer}fewer pieces."
    )
