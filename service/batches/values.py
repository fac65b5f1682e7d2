"""Checks the values of a batch's kits before any work starts; errors point into its request."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import islice

from service.batches.expand import BatchSource, Body
from service.batches.sizes import wrong_sizes
from service.errors import Fault, pointing_into
from service.requests.kits import KitRequestSchema
from service.schemas.loading import load_all, refusal
from service.schemas.validation import MAX_ERRORS

_KIT = KitRequestSchema()


def wrong_values(source: BatchSource) -> list[Fault]:
    """Return what is wrong with the kits of a batch, up to the number of errors reported."""
    return list(islice(_wrong_values(source), MAX_ERRORS))


def _wrong_values(source: BatchSource) -> Iterator[Fault]:
    sizes = list(islice(wrong_sizes(source), MAX_ERRORS))
    yield from sizes
    wrong = {fault.pointer for fault in sizes}
    seen = set()
    known: dict[str, list[Fault]] = {}
    for number in _distinct(source):
        # A size that its shape cannot have is an error for itself, not one of what it makes of it.
        if f"#/sizes/{source.places(number)[1]}" in wrong:
            continue
        document = source.request(number)
        # Kits that are alike, as many of a night are, have the same errors at their own places.
        own_title = document.get("title") if source.requests else ""
        alike = json.dumps({**document, "title": own_title}, sort_keys=True)
        if alike not in known:
            known[alike] = _errors_of(document, source)
        for each in known[alike]:
            fault = Fault(_place(source, number, each.pointer), each.detail)
            if fault not in seen:
                seen.add(fault)
                yield fault


def _errors_of(document: Body, source: BatchSource) -> list[Fault]:
    _, found = load_all(_KIT, document, cutters=source.cutters.get)
    return list(pointing_into(refusal(found), document).errors) if found else []


def _distinct(source: BatchSource) -> Iterator[int]:
    """Yield numbers of kits among which every shape, size and cutter is.

    Cutters do not depend on shapes and sizes until a kit is laid out.
    """
    if source.requests:
        yield from range(source.count)
        return
    cutters = len(source.choices) or 1
    yield from range(0, source.count, cutters)
    yield from range(1, cutters)


def _place(source: BatchSource, number: int, pointer: str) -> str:
    """Return the pointer into the batch's request for one into that of a kit."""
    if source.requests:
        return f"#/requests/{number}{pointer.removeprefix('#')}"
    parts = pointer.split("/")[1:]
    shape, size, choice = source.places(number)
    if parts[:1] == ["pieces"] and parts[2:3] == ["shape"] and source.changes_piece(int(parts[1])):
        name = "".join(f"/{each}" for each in parts[3:4])
        if source.sizes and (not name or name[1:] in source.sizes[size]):
            return f"#/sizes/{size}{name}"
        if source.shapes:
            return "/".join([f"#/shapes/{shape}", *parts[3:]])
    if parts[:1] == ["runs"] and parts[2:3] == ["cutter"] and source.changes_run(int(parts[1])):
        return "/".join([f"#/cutters/{choice}", *parts[3:]])
    return f"#/request{pointer.removeprefix('#')}"
