"""The short number of a kit or a batch, by which a person finds it again."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from typing import Any

import orjson
from marshmallow import ValidationError

#: Digits and letters without I, L, O and U, which are misread or make words (Douglas Crockford's
#: base 32, from memory).
_LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_LENGTH = 8
WRITTEN = "^[ -]*(?:[0-9A-TV-Za-tv-z][ -]*){8}$"
"""How a person may write a number, for the document."""
_BITS = 5
#: What does not change what is cut: other orders, papers and prices of a kit share its number.
_BESIDE = ("reference", "date", "documents", "labels", "prices", "second_units", "language")


def kit_number(
    request: Mapping[str, Any], cutters: Mapping[str, Mapping[str, Any]], version: str
) -> str:
    """Return a kit's number, such as ``7K3F-Q2M9``.

    Equal requests share it: it comes from the SHA-256 of the request as JSON with sorted members
    and without white space, of the cutters that it names, and of the service's version. The
    request's reference, date, documents, labels, prices, second units and language are left out.

    Args:
        request: the kit's request as JSON.
        cutters: the JSON of each cutter that it names.
        version: of the service that created the kit.
    """
    return _number({"request": _asked(request), "cutters": cutters, "version": version})


def batch_number(source: Mapping[str, Any], title: str, version: str) -> str:
    """Return a batch's number, as a kit's: equal batches share it.

    Args:
        source: what its kits are made from, as it is stored, with the cutters that it names.
        title: of the batch.
        version: of the service that created it.
    """
    asked = {
        **_asked(source),
        "base": _asked(source["base"]),
        "requests": [_asked(each) for each in source["requests"]],
    }
    return _number({"batch": asked, "title": title, "version": version})


def _asked(request: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in request.items() if name not in _BESIDE}


def _number(whole: Mapping[str, Any]) -> str:
    digest = hashlib.sha256(orjson.dumps(whole, option=orjson.OPT_SORT_KEYS)).digest()
    value = int.from_bytes(digest) >> (8 * len(digest) - _BITS * _LENGTH)
    letters = ""
    for _ in range(_LENGTH):
        value, index = divmod(value, len(_LETTERS))
        letters = _LETTERS[index] + letters
    return grouped(letters)


def grouped(letters: str) -> str:
    """Return a number's letters in two groups."""
    half = _LENGTH // 2
    return f"{letters[:half]}-{letters[half:]}"


def written_number(text: str) -> str:
    """Return a number as a person wrote it in the form that is stored.

    Small letters, and I, L and O for the digits that they look like, are understood; blanks and
    hyphens do not matter.

    Raises:
        ValidationError: when it cannot be a number.
    """
    if re.fullmatch(WRITTEN, text) is None:
        raise ValidationError(
            "A number has 8 digits and letters without I, L, O and U, such as 7K3F-Q2M9."
        )
    return grouped(text.upper().translate(str.maketrans("ILO", "110", " -")))
