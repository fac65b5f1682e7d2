"""Errors that are reported to the caller, as core and sandbox raise them: without HTTP.

Each class is one type of problem. ``slug`` is its heading in openapi/problems.md; its HTTP status
stands with the type in ``service/http/problem_types.py``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, ClassVar, Literal, NamedTuple, Self

from geometry.errors import GeometryError, GeometryFaults

MAX_FAULTS = 50
"""More faults than this in one answer help nobody."""


class Change(NamedTuple):
    """One operation of a JSON Patch (RFC 6902): set a member of the request, or remove it.

    ``path`` is a JSON pointer (RFC 6901) without a ``#``; ``remove`` needs no value.
    """

    path: str
    value: str | int | None = None
    op: Literal["add", "remove"] = "add"


class Cure(NamedTuple):
    """The changes of a request that cure an error or a warning, and what they do in words."""

    title: str
    changes: tuple[Change, ...]


class Fault(NamedTuple):
    """One error: a JSON pointer in fragment form (``#/pieces/0``) and a message.

    ``cure`` is known where changes of this request are sure to cure it. ``largest_percent`` is the
    share of its size at which a drawn outline fits.
    """

    pointer: str
    detail: str
    cure: Cure | None = None
    largest_percent: int | None = None


class ReportedError(Exception):
    """An error that is reported to the caller.

    Args:
        detail: what is wrong with this request, and a value that would work.
        errors: the single errors, where there are several or one has a place in the request.
        extra: further members of the problem, such as ``largest_allowance_mm``.
    """

    slug: str
    #: Seconds after which the same request may succeed; ``None`` where waiting does not help.
    retry_after_s: ClassVar[int | None] = None

    def __init__(
        self,
        detail: str,
        errors: Sequence[Fault] = (),
        **extra: Any,  # noqa: ANN401 - any JSON value
    ) -> None:
        """Store the parts; see the class."""
        super().__init__(detail)
        self.detail = detail
        self.errors = tuple(errors)
        self.extra = extra

    def with_errors(self, errors: Iterable[Fault]) -> Self:
        """Return the same error with other single errors."""
        found = type(self).__new__(type(self), *self.args)
        found.__dict__.update(self.__dict__, errors=tuple(errors))
        return found


class RequestError(ReportedError):
    """A request that is not carried out; the subclasses say why."""

    #: Every subclass by its slug.
    by_slug: ClassVar[dict[str, type[RequestError]]] = {}

    def __init_subclass__(cls) -> None:
        """List the class."""
        RequestError.by_slug[cls.slug] = cls

    def __reduce__(self) -> tuple[Any, ...]:
        """Return how another process makes the same error."""
        return request_error, (self.slug, self.detail, self.errors, self.extra)


class SchemaMismatchError(RequestError):
    """A value has a wrong type or name, or is missing."""

    slug = "schema-mismatch"


class InvalidRequestError(RequestError):
    """A value has the right type and cannot be used."""

    slug = "invalid-request"


class AllowanceTooLargeError(RequestError):
    """An outline cannot be moved out by as much as the seam allowance."""

    slug = "allowance-too-large"


class DoesNotFitError(RequestError):
    """A piece is larger than the work area."""

    slug = "does-not-fit"


class NotEnoughStockError(RequestError):
    """The sheets of a stock do not hold all pieces."""

    slug = "not-enough-stock"


class TooManyPiecesError(RequestError):
    """A load would hold more outlines than are supported."""

    slug = "too-many-pieces"


class MaterialNotForLaserError(RequestError):
    """Nobody has said that a laser may cut the material."""

    slug = "material-not-for-laser"


class FormatSettingsError(RequestError):
    """A setting of a format is missing or cannot be used."""

    slug = "format-settings"


class FormatCannotHoldError(RequestError):
    """A format cannot hold a plan."""

    slug = "format-cannot-hold"


class PluginFailedError(RequestError):
    """A plug-in does not keep its contract."""

    slug = "plugin-failed"


class PlanNotProvedError(RequestError):
    """A plan, simulated, does not cut what its load holds: an error in this service."""

    slug = "plan-not-proved"


class DrawingRefusedError(RequestError):
    """A drawing cannot be read or measured."""

    slug = "drawing-refused"


class MalformedBodyError(RequestError):
    """A text is not strict JSON."""

    slug = "malformed-body"


class TooDeepError(RequestError):
    """A JSON text is nested too deeply."""

    slug = "too-deep"


class BatchTooLargeError(RequestError):
    """A batch asks for too many kits."""

    slug = "batch-too-large"


class BusyError(RequestError):
    """Too many computations are running and waiting."""

    slug = "busy"
    retry_after_s = 5


class TookTooLongError(RequestError):
    """A computation was stopped at its time limit."""

    slug = "took-too-long"
    retry_after_s = 60


class NeedsTooMuchMemoryError(RequestError):
    """A computation was stopped at its memory limit."""

    slug = "needs-too-much-memory"


class ComputationStoppedError(RequestError):
    """A computation was killed from outside."""

    slug = "computation-stopped"
    retry_after_s = 10


class ComputationDiedError(RequestError):
    """A computation crashed."""

    slug = "computation-died"


def request_error(
    slug: str, detail: str, errors: Sequence[Fault] = (), extra: Mapping[str, Any] | None = None
) -> RequestError:
    """Return the error of a type of problem."""
    return RequestError.by_slug[slug](detail, errors, **(extra or {}))


def of_geometry(error: GeometryError) -> InvalidRequestError:
    """Return the error of a request in which geometry found an error."""
    found = error.faults if isinstance(error, GeometryFaults) else (error,)
    faults = [Fault(pointer(*each.where), each.message) for each in found]
    return InvalidRequestError(error.message, faults)


def pointing_into(error: ReportedError, body: Any) -> ReportedError:  # noqa: ANN401 - JSON values
    """Return an error whose pointers all lead to values that exist in the body.

    For a value that is not in the body (a setting of a saved cutter, a default) the pointer leads
    to its nearest ancestor there. For a missing required member it leads to the object that lacks
    it, and the message names the member.
    """
    found = [each._replace(pointer=_nearest(each.pointer, body)) for each in error.errors]
    return error if found == list(error.errors) else error.with_errors(dict.fromkeys(found))


def _nearest(place: str, body: Any) -> str:  # noqa: ANN401 - JSON values
    """Return a pointer, shortened to the part that exists in the body."""
    if not place.startswith("#/"):
        return place
    at, value = "#", body
    for step in place[2:].split("/"):
        key = step.replace("~1", "/").replace("~0", "~")
        if isinstance(value, Mapping) and key in value:
            value = value[key]
        elif isinstance(value, list) and key.isdecimal() and int(key) < len(value):
            value = value[int(key)]
        else:
            break
        at = f"{at}/{step}"
    return at


def pointer(*steps: str | int) -> str:
    """Return a JSON pointer (RFC 6901) in its URI fragment form.

    Args:
        steps: Member names and indexes from the root down.
    """
    return "#" + "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in steps)
