"""Validates a batch: counts its kits, and reports all errors together before any work starts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Any

from marshmallow import ValidationError

from service.batches.expand import BatchSource, sized
from service.errors import BatchTooLargeError, Fault, InvalidRequestError
from service.requests.batches import BatchRequest
from service.requests.shapes import SHAPES
from service.schemas.errors import structural
from service.schemas.loading import count_of
from service.schemas.validation import MAX_ERRORS, count_element

_LOADERS = {kind: schema() for kind, schema in SHAPES.items()}
CheckSizes = Callable[[Sequence[Mapping[str, Any]], Sequence[Mapping[str, Any]]], list[Fault]]
Cutters = Callable[[str], Mapping[str, Any] | None]


def source_of(
    request: BatchRequest, cutters: Cutters, most: int, check_sizes: CheckSizes
) -> BatchSource:
    """Return the source of a batch's kits.

    Args:
        request: the loaded request.
        cutters: returns cutters by name.
        most: the maximum number of kits in one batch.
        check_sizes: :func:`wrong_sizes`, possibly run in a child process: it may take long.

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
    faults = [*_unknown_places(request), *_size_faults(source, check_sizes)]
    known = {name: cutters(name) for name in sorted(_names(source))}
    faults += [
        Fault(f"#/cutters/{index}", f'There is no cutter "{name}"; GET /v1/cutters lists them.')
        for index, name in enumerate(source.choices)
        if isinstance(name, str) and known[name] is None
    ]
    if faults:
        raise InvalidRequestError(count_of(len(faults)), faults)
    named = {name: each for name, each in known.items() if each is not None}
    return BatchSource(**{**vars(source), "cutters": named})


def _unknown_places(request: BatchRequest) -> Iterator[Fault]:
    ids = [piece["id"] for piece in request.request.get("pieces", ())]
    for index, each in enumerate(request.pieces):
        if each not in ids:
            yield Fault(f"#/pieces/{index}", f'The request has no piece "{each}".')
    many = len(request.request.get("runs", ()))
    for index, run in enumerate(request.runs):
        if run > many:
            yield Fault(f"#/runs/{index}", f"Runs are numbered from 1, and the request has {many}.")


def _size_faults(source: BatchSource, check: CheckSizes) -> list[Fault]:
    if not source.sizes:
        return []
    named = source.pieces
    drawn: Sequence[Mapping[str, Any]] = source.shapes or [
        piece["shape"]
        for piece in source.base.get("pieces", ())
        if not named or piece["id"] in named
    ]
    return check(source.sizes, drawn)


def wrong_sizes(
    sizes: Sequence[Mapping[str, Any]], shapes: Sequence[Mapping[str, Any]]
) -> list[Fault]:
    """Return an error for each size that a shape cannot have, up to the number reported."""
    return list(islice(_wrong_sizes(sizes, shapes), MAX_ERRORS))


def _wrong_sizes(
    sizes: Sequence[Mapping[str, Any]], shapes: Sequence[Mapping[str, Any]]
) -> Iterator[Fault]:
    for index, size in enumerate(sizes):
        if not size:
            yield Fault(f"#/sizes/{index}", 'State the size: {"side": "1 in"}.')
            continue
        for shape in shapes:
            if shape["kind"] == "custom":
                yield Fault(f"#/sizes/{index}", "A custom outline has the size it is drawn in.")
                continue
            try:
                count_element()
                _LOADERS[shape["kind"]].load(dict(sized(shape, size)))
            except ValidationError as error:
                if wrong := structural(error.messages):
                    names = ", ".join(sorted(map(str, wrong)))
                    text = f"A {shape['kind']} cannot have this size; see {names}."
                    yield Fault(f"#/sizes/{index}", text)


def _names(source: BatchSource) -> set[str]:
    """Return the names of all cutters that the batch uses."""
    named = [
        run["cutter"] for body in (source.base, *source.requests) for run in body.get("runs", ())
    ]
    return {name for name in (*named, *source.choices) if isinstance(name, str)}
