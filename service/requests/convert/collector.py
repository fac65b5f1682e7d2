"""Gathers the faults of one request, each at its JSON pointer."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TypeAlias

from geometry import units as lengths
from geometry.errors import GeometryError, GeometryFaults
from service.http.problems import Fault, ProblemError
from service.requests.units_in_text import in_units

Path: TypeAlias = tuple[str | int, ...]


def pointer(path: Path) -> str:
    """Return the JSON pointer (RFC 6901, as a fragment) of a path of keys and indices."""
    return "#" + "".join("/" + str(key).replace("~", "~0").replace("/", "~1") for key in path)


class Unread(Exception):  # noqa: N818 - a signal within this package, never seen outside
    """A value could not be read; its fault has been noted."""


class Collector:
    """Reads values out of one request and remembers what was wrong with them.

    Args:
        units: the request's ``units``, in which bare numbers are read; ``None`` makes a bare
            number a fault.
    """

    def __init__(self, units: str | None) -> None:
        self.units = units
        self._faults: list[Fault] = []
        self._refusals: list[tuple[str, dict[str, Any]]] = []

    def add_refusal(self, slug: str, path: Path, detail: str, **extra: Any) -> None:  # noqa: ANN401 - a problem's extra members are any JSON
        """Note a fault that has a problem type of its own, with that type's extra members."""
        self._refusals.append((slug, extra))
        self.add(path, detail)

    def add(self, path: Path, detail: str) -> None:
        """Note a fault; its lengths are told in the request's units."""
        self._faults.append(Fault(pointer(path), in_units(detail, self.units)))

    def length(
        self,
        value: object,
        path: Path,
        *,
        least: float = 0.0,
        most: float = math.inf,
        inclusive: bool = True,
    ) -> float:
        """Return a length in mm.

        Raises:
            Unread: when it cannot be read, is too small or too large; the fault is noted.
        """
        try:
            read = lengths.parse_length(value, self.units)
        except GeometryError as error:
            self.add(path, error.message)
            raise Unread from None
        if read < least or (not inclusive and read <= least):
            bound = "at least" if inclusive else "more than"
            self.add(path, f"This length must be {bound} {least:g} mm; it is {read:g} mm.")
            raise Unread
        if read > most:
            self.add(path, f"This length must be at most {most:g} mm; it is {read:g} mm.")
            raise Unread
        return read

    def optional_length(
        self, data: Mapping[str, Any], key: str, path: Path, default: float
    ) -> float:
        """Return the length under ``key`` in mm, or ``default`` when it is not stated."""
        value = data.get(key)
        return default if value is None else self.length(value, (*path, key))

    @contextmanager
    def noting(self, path: Path) -> Iterator[None]:
        """Note geometry's errors at ``path`` and turn them into :class:`Unread`."""
        try:
            yield
        except GeometryFaults as many:
            for fault in many.faults:
                self.add((*path, *fault.where), fault.message)
            raise Unread from None
        except GeometryError as error:
            self.add((*path, *error.where), error.message)
            raise Unread from None

    @contextmanager
    def going_on(self) -> Iterator[None]:
        """Swallow :class:`Unread`, so that the next value is read too."""
        try:
            yield
        except Unread:
            return

    def finish(self) -> None:
        """Raise one problem with every fault found.

        Raises:
            ProblemError: 422 when any fault was noted: ``invalid-request``, or the one fault's
                own type when it stands alone.
        """
        if len(self._faults) == 1 and self._refusals:
            slug, extra = self._refusals[0]
            raise ProblemError(slug, 422, self._faults[0].detail, self._faults, **extra)
        if self._faults:
            raise ProblemError(
                "invalid-request",
                422,
                "The request can be read but some of its values cannot be used.",
                self._faults,
            )
