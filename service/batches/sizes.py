"""Checks the sizes that a batch lists: whether its shapes can have them."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from marshmallow import ValidationError

from geometry.shapes.catalogue import CATALOGUE
from service.batches.expand import BatchSource, sized
from service.errors import Fault
from service.requests.shapes import SHAPES
from service.schemas.errors import structural
from service.schemas.validation import count_element

_LOADERS = {kind: schema() for kind, schema in SHAPES.items()}


def wrong_sizes(source: BatchSource) -> Iterator[Fault]:
    """Yield one error for each size that shapes cannot have, however long it is."""
    named = source.pieces
    stated: Sequence[Mapping[str, Any]] = source.shapes or [
        piece["shape"]
        for piece in source.base.get("pieces", ())
        if not named or piece["id"] in named
    ]
    drawn = list({json.dumps(shape, sort_keys=True): shape for shape in stated}.values())
    known: dict[str, str] = {}
    for index, size in enumerate(source.sizes):
        if not size:
            yield Fault(f"#/sizes/{index}", 'State the size: {"side": "1 in"}.')
            continue
        alike = json.dumps(size, sort_keys=True)
        if alike not in known:
            # The kit of a block has many pieces of which the same is to be said.
            texts = dict.fromkeys(_fault_of(shape, size) for shape in drawn)
            known[alike] = " ".join(filter(None, texts))
        if known[alike]:
            yield Fault(f"#/sizes/{index}", known[alike])


def _fault_of(shape: Mapping[str, Any], size: Mapping[str, Any]) -> str:
    """Return why a shape cannot have a size; an empty text where it can."""
    if shape["kind"] == "custom":
        return (
            "A custom outline has the size it is drawn in; name in `pieces` those to be sized, or "
            "leave `sizes` out."
        )
    count_element()
    try:
        _LOADERS[shape["kind"]].load(dict(sized(shape, size)))
    except ValidationError as error:
        if wrong := structural(error.messages):
            names = ", ".join(sorted(map(str, wrong)))
            made = CATALOGUE[shape["kind"]]
            return (
                f"The {made.title} cannot have this size; see {names}. "
                f"Its size is {made.size_words}."
            )
    return ""
