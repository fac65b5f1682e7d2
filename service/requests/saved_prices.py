"""Requests that name a saved price list: a copy of the list takes the place of its name.

So a kit keeps the prices that it was quoted by, even if the list changes later.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from service.errors import Fault, InvalidRequestError
from service.requests.batches import MAX_LISTED
from service.requests.counted_sources import CountedSource

#: Gives a price list's JSON by name, with its version; ``None`` when there is no such list.
PriceListSource = Callable[[str], Mapping[str, Any] | None]
#: Bytes of the lists that one batch names, each counted for every kit that names it: they are kept
#: with the batch until its kits are made.
MAX_LISTS_BYTES = 16 << 20
_PRICES = "prices"


def with_saved_prices(document: Any, source: PriceListSource) -> Any:  # noqa: ANN401 - JSON values
    """Return a kit's or batch's JSON with the price lists that it names written out.

    Names of no list stay, and are errors where the request is loaded.

    Raises:
        RequestError: when the lists of a batch are longer than one may be.
    """
    if not isinstance(document, dict):
        return document
    lists = source if isinstance(source, CountedSource) else CountedSource(source)
    changed = dict(document)
    if isinstance(document.get("request"), dict):
        changed["request"] = _written_out(document["request"], lists)
    requests = document.get("requests")
    # A longer list is refused where the request is loaded.
    if isinstance(requests, list) and len(requests) <= MAX_LISTED:
        changed["requests"] = [_written_out(each, lists) for each in requests]
    return _written_out(changed, lists)


def _written_out(body: Any, source: CountedSource) -> Any:  # noqa: ANN401 - JSON values
    if not isinstance(body, dict) or not isinstance(body.get(_PRICES), str):
        return body
    found = source(body[_PRICES])
    if source.count > MAX_LISTS_BYTES:
        detail = (
            f"The price lists of these kits are more than {MAX_LISTS_BYTES >> 20} MiB together. "
            "Give one `request` with lists of what changes, fewer kits, or a shorter price list."
        )
        raise InvalidRequestError(detail, [Fault("#/requests", detail)])
    return body if found is None else {**body, _PRICES: {"name": body[_PRICES], **found}}
