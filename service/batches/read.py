"""Validates a batch: counts its kits, and reports all errors together before any work starts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from service.batches.expand import BatchSource
from service.errors import BatchTooLargeError, Fault, InvalidRequestError
from service.requests.batches import BatchRequest
from service.schemas.loading import count_of
from service.schemas.validation import MAX_ERRORS

CheckValues = Callable[[BatchSource], list[Fault]]
Cutters = Callable[[str], Mapping[str, Any] | None]


def source_of(
    request: BatchRequest, cutters: Cutters, most: int, check_values: CheckValues
) -> BatchSource:
    """Return the source of a batch's kits.

    Args:
        request: the loaded request.
        cutters: returns cutters by name.
        most: the maximum number of kits in one batch.
        check_values: :func:`wrong_values`, possibly run in a child process: it may take long.

    Raises:
        RequestError: with all errors, or when there are too many kits.
    """
    source = BatchSource(
        cutters={},
        requests=request.requests,
        base=request.request,
        shapes=request.shapes,
        sizes=request.sizes,
        choices=request.cutters,
        pieces=request.pieces,
        # Callers number runs from 1; a stored source holds their indexes.
        runs=[number - 1 for number in request.runs],
        reference=request.reference,
    )
    if source.count > most:
        detail = f"This batch makes {source.count} kits; at most {most} may be asked for at once."
        raise BatchTooLargeError(detail, count=source.count, most=most)
    known = {name: cutters(name) for name in sorted(_names(source))}
    source = replace(
        source, cutters={name: each for name, each in known.items() if each is not None}
    )
    faults = [*_unknown_places(request), *check_values(source)]
    if faults:
        raise InvalidRequestError(count_of(len(faults)), faults[:MAX_ERRORS])
    return source


def _unknown_places(request: BatchRequest) -> Iterator[Fault]:
    ids = [piece["id"] for piece in request.request.get("pieces", ())]
    for index, each in enumerate(request.pieces):
        if each not in ids:
            yield Fault(f"#/pieces/{index}", f'The request has no piece "{each}".')
    many = len(request.request.get("runs", ()))
    for index, run in enumerate(request.runs):
        if run > many:
            yield Fault(f"#/runs/{index}", f"Runs are numbered from 1, and the request has {many}.")


def _names(source: BatchSource) -> set[str]:
    """Return the names of all cutters that the batch uses."""
    named = [
        run["cutter"] for body in (source.base, *source.requests) for run in body.get("runs", ())
    ]
    return {name for name in (*named, *source.choices) if isinstance(name, str)}
