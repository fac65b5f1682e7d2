"""What is known of a request while it is loaded: its units, its pieces, where cutters are found.

Schemas load values one by one; these few facts about the request as a whole decide how.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from typing import Any, TypeAlias

from geometry.units import UNIT_MM
from service.schemas.suggestions import suggestion

#: Names of an object's members that are looked through for a misspelt one.
_MAX_NAMES = 50
#: Gives a cutter's JSON by name, or ``None`` when there is no such cutter.
CutterSource: TypeAlias = Callable[[str], Mapping[str, Any] | None]


@dataclass(frozen=True)
class Reading:
    """What is known of the request that is being loaded.

    Args:
        units: in which bare numbers are read; ``None`` makes a bare number an error.
        units_are_wrong: whether the request states units that cannot be used; that is one error,
            not one more at every length.
        cutters: gives named cutters.
        quantities: of the request's pieces by id, as far as they can be read.
        is_stored: whether it was stored, perhaps by a version that took what is refused now.
    """

    units: str | None = None
    units_are_wrong: bool = False
    cutters: CutterSource | None = None
    quantities: Mapping[str, int] = field(default_factory=dict)
    is_stored: bool = False

    def in_units_of(self, data: object, known: Container[str] = ()) -> Reading:
        """Return the same with the units that an object states; known fields are not misspelt."""
        stated = data.get("units") if isinstance(data, Mapping) else None
        units = stated if isinstance(stated, str) and stated in UNIT_MM else None
        wrong = units is None and (stated is not None or _misspells_units(data, known))
        return replace(self, units=units, units_are_wrong=wrong)


def _misspells_units(data: object, known: Container[str]) -> bool:
    names = list(data)[:_MAX_NAMES] if isinstance(data, Mapping) else []
    return any(suggestion(str(name), ("units",)) for name in names if name not in known)


_NOTHING = Reading()
_READING: ContextVar[Reading] = ContextVar("reading", default=_NOTHING)


def current() -> Reading:
    """Return what is known of the request that is being loaded."""
    return _READING.get()


@contextmanager
def reading(facts: Reading) -> Iterator[None]:
    """Load what is loaded within this block by these facts."""
    token = _READING.set(facts)
    try:
        yield
    finally:
        _READING.reset(token)
