"""Checks the sizes that a batch lists: whether its shapes can have them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from marshmallow import ValidationError

from service.batches.expand import BatchSource, sized
from service.errors import Fault
from service.requests.shapes import SHAPES
from service.schemas.errors import structural
from service.schemas.validation import count_element

_LOADERS = {kind: schema() for kind, schema in SHAPES.items()}


def wrong_sizes(source: BatchSource) -> Iterator[Fault]:
    """Yield an error for each size that a shape cannot have, however long it is."""
    named = source.pieces
    drawn: Sequence[Mapping[str, Any]] = source.shapes or [
        piece["shape"]
        for piece in source.base.get("pieces", ())
        if not named or piece["id"] in named
    ]
    for index, size in enumerate(source.sizes):
        if not size:
            yield Fault(f"#/sizes/{index}", 'State the size: {"side": "1 in"}.')
            continue
        for shape in drawn:
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
