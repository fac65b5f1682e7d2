"""The errors that geometry raises.

An error in the caller's data is a :class:`GeometryError`; it says *where* it is in the caller's
terms and *what would work*. A bug in this package is an :class:`InternalError`.
"""

from __future__ import annotations


class GeometryError(ValueError):
    """The input cannot be used as it is.

    Args:
        message: what is wrong and what would work, in one or two sentences.
        where: path of keys and indices from the argument to the faulty part, for instance
            ``("side",)`` or ``("points", 3)``; empty for the value as a whole.
    """

    def __init__(self, message: str, *, where: tuple[str | int, ...] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.where = where


class BadUnitError(GeometryError):
    """A length cannot be parsed."""


class NonFiniteError(GeometryError):
    """A coordinate or size is not a finite number."""


class InvalidOutlineError(GeometryError):
    """An outline is not a simple closed curve with an area."""


class ShapeError(GeometryError):
    """A shape's parameters are not possible for that shape."""


class GeometryFaults(GeometryError):  # noqa: N818 - it is the plural of faults, not one error
    """Several errors found in one pass.

    Args:
        faults: all errors, in the order of the input.
    """

    def __init__(self, faults: tuple[GeometryError, ...]) -> None:
        super().__init__("; ".join(fault.message for fault in faults))
        self.faults = faults


class AllowanceError(GeometryError):
    """The outline cannot be moved out by the requested allowance.

    Args:
        message: see :class:`GeometryError`.
        largest: the largest allowance that works, in mm, or ``None``.
        where: see :class:`GeometryError`.
    """

    def __init__(
        self, message: str, *, largest: float | None, where: tuple[str | int, ...] = ()
    ) -> None:
        super().__init__(message, where=where)
        self.largest = largest


class InternalError(RuntimeError):
    """A bug in this package, never the caller's fault."""
