"""Expands a batch: calculates the request of any of its kits from the kit's number.

A batch stores its request, not the expanded requests, so that thousands of kits take no more room
than the lists in the request.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from geometry.shapes.catalogue import CATALOGUE

MAX_TITLE = 120
#: A length without a unit: digits, fractions and what separates them.
_BARE = re.compile(r"[\d\s./\u2044+\u00bc-\u00be\u2150-\u215e-]+")
Body = Mapping[str, Any]


@dataclass(frozen=True)
class BatchSource:
    """The source of a batch's kits; JSON values only.

    Either ``requests``, or a ``base`` with lists of changes.

    Args:
        cutters: the named cutters as they were when the batch was created.
        requests: complete requests.
        base: one request.
        shapes: replace the shape of the named pieces, each in turn.
        sizes: replace the size of the named pieces, each in turn.
        choices: replace the cutter of the named runs, each in turn.
        pieces: ids of the pieces that shapes and sizes apply to; all when empty.
        runs: indexes, from 0, of the runs that cutters apply to; all when empty.
        reference: of the kits that have none of their own.
    """

    cutters: Mapping[str, Body]
    requests: Sequence[Body] = ()
    base: Body = field(default_factory=dict)
    shapes: Sequence[Body] = ()
    sizes: Sequence[Body] = ()
    choices: Sequence[str | Body] = ()
    pieces: Sequence[str] = ()
    runs: Sequence[int] = ()
    reference: str = ""

    @property
    def count(self) -> int:
        """Return the number of kits."""
        if self.requests:
            return len(self.requests)
        return (len(self.shapes) or 1) * (len(self.sizes) or 1) * (len(self.choices) or 1)

    def places(self, number: int) -> tuple[int, int, int]:
        """Return the indexes of a kit's shape, size and cutter; cutters change fastest."""
        rest, choice = divmod(number, len(self.choices) or 1)
        shape, size = divmod(rest, len(self.sizes) or 1)
        return shape, size, choice

    def request(self, number: int) -> Body:
        """Return the request of a kit, counted from 0."""
        body = self.requests[number] if self.requests else self._changed(number)
        return {"reference": self.reference, **body} if self.reference else body

    def _changed(self, number: int) -> Body:
        shape, size, choice = self.places(number)
        body = dict(self.base)
        if self.shapes or self.sizes:
            body["pieces"] = [self._piece(piece, shape, size) for piece in body["pieces"]]
        if self.choices:
            body["runs"] = [
                {**run, "cutter": self.choices[choice]} if self.changes_run(index) else run
                for index, run in enumerate(body["runs"])
            ]
        body["title"] = self.title(number)
        return body

    def changes_piece(self, index: int) -> bool:
        """Return whether shapes and sizes apply to a piece of the base, counted from 0."""
        has_changes = bool(self.shapes or self.sizes)
        return has_changes and self._is_named(self.base["pieces"][index])

    def changes_run(self, index: int) -> bool:
        """Return whether cutters apply to a run of the base, counted from 0."""
        return bool(self.choices) and (not self.runs or index in self.runs)

    def _is_named(self, piece: Body) -> bool:
        return not self.pieces or piece["id"] in self.pieces

    def _piece(self, piece: Body, shape: int, size: int) -> Body:
        if not self._is_named(piece):
            return piece
        drawn = self.shapes[shape] if self.shapes else piece["shape"]
        return {**piece, "shape": sized(drawn, self.sizes[size]) if self.sizes else drawn}

    def title(self, number: int) -> str:
        """Return the title of a kit: the batch's title and this kit's changes."""
        if self.requests:
            return str(self.requests[number].get("title", ""))
        shape, size, choice = self.places(number)
        parts = []
        if self.shapes:
            parts.append(str(self.shapes[shape]["kind"]).replace("_", " "))
        if self.sizes:
            parts += [
                f"{name.replace('_', ' ')} {self._with_unit(each)}"
                for name, each in self.sizes[size].items()
            ]
        if self.choices:
            cutter = self.choices[choice]
            parts.append(cutter if isinstance(cutter, str) else f"cutter {choice + 1}")
        own = str(self.base.get("title", ""))
        return ": ".join(filter(None, (own, ", ".join(parts))))[:MAX_TITLE]

    def _with_unit(self, length: object) -> str:
        """Return a length as it was written, with the request's unit where it has none."""
        text = str(length).strip()
        units = self.base.get("units")
        return f"{text} {units}" if units and _BARE.fullmatch(text) else text


def sized(shape: Body, size: Body) -> Body:
    """Return a shape with another size; removes its earlier size fields."""
    kind = CATALOGUE.get(shape["kind"])
    sizing = set() if kind is None else {name for names in kind.size_options for name in names}
    kept = {name: value for name, value in shape.items() if name not in sizing}
    return {**kept, **size}
