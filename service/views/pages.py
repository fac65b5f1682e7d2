"""Pages of lists: the cursors that say where the next page begins, and the links to it."""

from __future__ import annotations

import base64
import binascii
import re
import uuid
from typing import Protocol, TypeVar

from service.errors import Fault
from service.http.problems import ProblemError
from service.schemas.fields import CUTTER_NAME

#: Numbers of entries in a cursor are below this.
_MOST = 1 << 31

Page = TypeVar("Page", bound="Paged")


class Paged(Protocol):
    """An answer with a page of a list."""

    @property
    def next(self) -> str | None:
        """Return the address of the next page, if there is one."""


def linked(page: Page, *, vary: str = "") -> tuple[Page, int, dict[str, str]]:
    """Return a page with its headers: the link to the next page (RFC 8288)."""
    headers = {} if page.next is None else {"Link": f'<{page.next}>; rel="next"'}
    return page, 200, headers | ({"Vary": vary} if vary else {})


def opaque(created_us: int, entry_id: str) -> str:
    """Return the cursor after an entry in a list ordered by time."""
    return _packed(f"{created_us} {entry_id}")


def cursor(text: str) -> tuple[int, str]:
    """Return the time and id of a cursor.

    Raises:
        ProblemError: 422 when it is not a valid cursor.
    """
    when, entry_id = _unpacked(text)
    try:
        return int(when), str(uuid.UUID(entry_id))
    except ValueError:
        raise invalid_cursor() from None


def opaque_number(number: int) -> str:
    """Return the cursor after an entry in a list ordered by a number."""
    return _packed(f"n {number}")


def number(text: str) -> int:
    """Return the number of a cursor.

    Raises:
        ProblemError: 422 when it is not a valid cursor.
    """
    kind, value = _unpacked(text)
    try:
        found = int(value)
    except ValueError:
        raise invalid_cursor() from None
    if kind != "n" or not 0 <= found < _MOST:
        raise invalid_cursor()
    return found


def opaque_name(name: str, *, built_in: bool) -> str:
    """Return the cursor after an entry in a list ordered by name, built-in ones first."""
    return _packed(f"{'b' if built_in else 's'} {name}")


def name_of(text: str) -> tuple[str, bool]:
    """Return the name of a cursor, and whether it is a built-in one's.

    Raises:
        ProblemError: 422 when it is not a valid cursor.
    """
    kind, name = _unpacked(text)
    if kind not in {"b", "s"} or not re.fullmatch(CUTTER_NAME, name):
        raise invalid_cursor()
    return name, kind == "b"


def _packed(text: str) -> str:
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


def _unpacked(text: str) -> tuple[str, str]:
    """Return the two parts of a cursor.

    Raises:
        ProblemError: 422 when it is not a valid cursor.
    """
    try:
        first, second = base64.urlsafe_b64decode(text + "==").decode().split(" ")
    except (ValueError, binascii.Error):
        raise invalid_cursor() from None
    return first, second


def invalid_cursor() -> ProblemError:
    """Return the problem of a cursor that the service did not make."""
    detail = "Take this value from the link to the next page."
    return ProblemError("invalid-request", 422, detail, [Fault("?after", detail)])
