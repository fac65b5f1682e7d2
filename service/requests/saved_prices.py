"""Requests that name a saved price list: a copy of the list takes the place of its name.

So a kit keeps the prices that it was quoted by, even if the list changes later.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

#: Gives a price list's JSON by name, with its version; ``None`` when there is no such list.
PriceListSource = Callable[[str], Mapping[str, Any] | None]
_PRICES = "prices"


def with_saved_prices(document: Any, source: PriceListSource) -> Any:  # noqa: ANN401 - JSON values
    """Return a kit's or batch's JSON with the price lists that it names written out.

    Names of no list stay, and are errors where the request is loaded.
    """
    if not isinstance(document, dict):
        return document
    changed = dict(document)
    if isinstance(document.get("request"), dict):
        changed["request"] = _written_out(document["request"], source)
    if isinstance(document.get("requests"), list):
        changed["requests"] = [_written_out(each, source) for each in document["requests"]]
    return _written_out(changed, source)


def _written_out(body: Any, source: PriceListSource) -> Any:  # noqa: ANN401 - JSON values
    if not isinstance(body, dict) or not isinstance(body.get(_PRICES), str):
        return body
    found = source(body[_PRICES])
    return body if found is None else {**body, _PRICES: {"name": body[_PRICES], **found}}
