"""The tree of errors that geometry raises.

A fault of the caller's data is a :class:`GeometryError`; it says *where* in the caller's own
terms and *what would be right*. A broken promise of ours is an :class:`InternalError`.
"""

from __future__ import annotations


class GeometryError(ValueError):
    """The input cannot be used as it is.

    Args:
        message: what is wrong and what would be right, one or two plain sentences.
        where: path of keys and indices from the value that was handed in to the faulty part,
            for instance ``("side",)`` or ``("points", 3)``; empty for the value as a whole.
    """

    def __init__(self, message: str, *, where: tuple[str | int, ...] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.where = where


class BadUnitError(GeometryError):
    """A length was written in a way that cannot be read."""


class NonFiniteError(GeometryError):
    """A coordinate or size is not a finite number."""


class InvalidOutlineError(GeometryError):
    """An outline is not a simple closed curve with an area."""


class ShapeError(GeometryError):
    """A shape's parameters do not make that shape."""


class GeometryFaults(GeometryError):  # noqa: N818 - it is the plural of faults, not one error
    """Several faults found in one pass.

    Args:
        faults: every fault, in the order in which the input states them.
    """

    def __init__(self, faults: tuple[GeometryError, ...]) -> None:
        super().__init__("; ".join(fault.message for fault in faults))
        self.faults = faults


class AllowanceError(GeometryError):
    """The outline cannot be moved out by the asked allowance.

    Args:
        message: see :class:`GeometryError`.
        largest: the largest allowance that works, in mm, or ``None`` when none does.
        where: see :class:`GeometryError`.
    """

    def __init__(
        self, message: str, *, largest: float | None, where: tuple[str | int, ...] = ()
    ) -> None:
        super().__init__(message, where=where)
        self.largest = largest


class InternalError(RuntimeError):
    """A promise of this package was broken; a defect here, never the caller's fault."""
