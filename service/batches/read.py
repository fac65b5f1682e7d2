"""Validates a batch: counts its kits, and reports all errors together before any work starts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Any

from marshmallow import ValidationError

from service.batches.expand import Source, sized
from service.http.problems import Fault, ProblemError
from service.requests.loading import found
from service.requests.schemas.shapes import SHAPES
from service.requests.validation import MAX_ERRORS, count_element

_LISTS = ("shapes", "sizes", "cutters", "pieces", "runs")
_LOADERS = {kind: schema() for kind, schema in SHAPES.items()}
CheckSizes = Callable[[Sequence[Mapping[str, Any]], Sequence[Mapping[str, Any]]], list[Fault]]
Cutters = Callable[[str], Mapping[str, Any] | None]


def source_of(
    body: Mapping[str, Any], cutters: Cutters, most: int, check_sizes: CheckSizes
) -> Source:
    """Return the source of a batch's kits.

    Args:
        body: the loaded request.
        cutters: returns cutters by name.
        most: the maximum number of kits in one batch.
        check_sizes: :func:`wrong_sizes`, possibly run in a child process: it may take long.

    Raises:
        ProblemError: 422 with all errors, or when there are too many kits.
    """
    faults = list(_structure(body))
    if faults:
        raise _refused(faults)
    source = Source(
        cutters={},
        requests=body.get("requests", ()),
        base=body.get("request", {}),
        shapes=body.get("shapes", ()),
        sizes=body.get("sizes", ()),
        choices=body.get("cutters", ()),
        pieces=body.get("pieces", ()),
        # Callers number runs from 1; a stored source holds their indexes.
        runs=[number - 1 for number in body.get("runs", ())],
    )
    if source.count > most:
        detail = f"This batch makes {source.count} kits; at most {most} may be asked for at once."
        raise ProblemError("batch-too-large", 422, detail, count=source.count, most=most)
    faults = [*_unknown_places(source), *_size_faults(source, check_sizes)]
    known = {name: cutters(name) for name in sorted(_names(source))}
    faults += [
        Fault(f"#/cutters/{index}", f'There is no cutter "{name}"; GET /v1/cutters lists them.')
        for index, name in enumerate(source.choices)
        if isinstance(name, str) and known[name] is None
    ]
    if faults:
        raise _refused(faults)
    named = {name: each for name, each in known.items() if each is not None}
    return Source(**{**vars(source), "cutters": named})


def _structure(body: Mapping[str, Any]) -> Iterator[Fault]:
    if ("requests" in body) == ("request" in body):
        yield Fault("#", "Give either `requests`, or one `request` with lists of changes.")
    elif "requests" in body:
        for name in _LISTS:
            if name in body:
                yield Fault(f"#/{name}", "Lists of changes go with one `request`.")


def _unknown_places(source: Source) -> Iterator[Fault]:
    ids = [piece["id"] for piece in source.base.get("pieces", ())]
    for index, each in enumerate(source.pieces):
        if each not in ids:
            yield Fault(f"#/pieces/{index}", f'The request has no piece "{each}".')
    many = len(source.base.get("runs", ()))
    for index, run in enumerate(source.runs):
        if run >= many:
            yield Fault(f"#/runs/{index}", f"Runs are numbered from 1, and the request has {many}.")


def _size_faults(source: Source, check: CheckSizes) -> list[Fault]:
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
                wrong = error.messages if isinstance(error.messages, dict) else {}
                names = ", ".join(sorted(map(str, wrong)))
                text = f"A {shape['kind']} cannot have this size; see {names}."
                yield Fault(f"#/sizes/{index}", text)


def _names(source: Source) -> set[str]:
    """Return the names of all cutters that the batch uses."""
    named = [
        run["cutter"] for body in (source.base, *source.requests) for run in body.get("runs", ())
    ]
    return {name for name in (*named, *source.choices) if isinstance(name, str)}


def _refused(faults: list[Fault]) -> ProblemError:
    return ProblemError("invalid-request", 422, found(len(faults)), faults)
