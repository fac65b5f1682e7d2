# ruff: noqa: E501 - one row per type
"""All problem types, one row per type; the source of problems.md."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

PLACE = "/problems"
"""Path of the page that describes the types."""


@dataclass(frozen=True)
class ProblemType:
    """A problem type.

    Args:
        slug: its name, the last part of its type's address.
        status: its HTTP status.
        title: a short summary, always the same.
        text: its meaning and remedy.
    """

    slug: str
    status: int
    title: str
    text: str

    @property
    def uri(self) -> str:
        """The ``type`` of the problem document."""
        return f"{PLACE}#{self.slug}"


_ROWS = (
    # slug, status, title, text
    (
        "malformed-body",
        400,
        "The body cannot be read",
        (
            "The body is not JSON text (RFC 8259) in UTF-8, holds a number that is not finite or too "
            "large, or names one member twice. `detail` says where reading stopped."
        ),
    ),
    (
        "too-deep",
        400,
        "The body is nested too deeply",
        "No request needs more than a few levels; the limit is in `detail`.",
    ),
    (
        "bad-request",
        400,
        "The request cannot be used",
        ("A header, the address or the chunks of the request are not what HTTP asks for."),
    ),
    (
        "key-required",
        401,
        "A key is required",
        (
            "This service requires a key: `Authorization: Bearer KEY`. The operator creates keys on "
            "the command line."
        ),
    ),
    (
        "scope-too-small",
        403,
        "The key may not do that",
        "A key's scope is reading, reading and writing, or everything. `detail` states the required scope.",
    ),
    (
        "other-origin",
        403,
        "A page of another site may not send this",
        (
            "According to the browser, a page of another site sent this request. The operator of the "
            "service can allow that page's origin."
        ),
    ),
    (
        "not-found",
        404,
        "Not found",
        (
            "No resource has this address: the path is not in the OpenAPI document, or the resource "
            "was never created or has been deleted."
        ),
    ),
    (
        "method-not-allowed",
        405,
        "Method not allowed",
        "The header `Allow` lists the allowed methods.",
    ),
    (
        "not-acceptable",
        406,
        "Not acceptable",
        ("The header `Accept` excludes every media type of this resource; `detail` lists them."),
    ),
    (
        "request-timeout",
        408,
        "Request timed out",
        (
            "The headers or the body stopped arriving, or came too slowly. Send the request again; "
            "nothing was done."
        ),
    ),
    (
        "cutter-read-only",
        409,
        "Built-in cutters cannot be changed",
        "Save your own cutter under another name; you can copy a built-in one.",
    ),
    (
        "still-running",
        409,
        "The first request is still being answered",
        (
            "A request with this `Idempotency-Key` is still running; try again after the seconds in "
            "`Retry-After`. If its process was killed, the key is free again as soon as another "
            "process takes its place, and at the latest after the time in the detail."
        ),
    ),
    (
        "precondition-failed",
        412,
        "Precondition failed",
        (
            "The header `If-Match` or `If-None-Match` does not match the current version. "
            "Fetch it again, then decide."
        ),
    ),
    (
        "body-too-large",
        413,
        "The body is too large",
        "`detail` states the limit, which also applies to chunked bodies.",
    ),
    (
        "address-too-long",
        414,
        "The address is too long",
        "The request line has more than 8190 bytes; no address of this service needs that many.",
    ),
    (
        "misdirected-request",
        421,
        "The request is for another host",
        (
            "The header `Host` names a host that this service does not answer for. Without keys it "
            "answers for `localhost`, `127.0.0.1` and `[::1]` only, so that no page of another site "
            "can reach it under a name of its own; the operator can list further names in "
            "`QUARTERSEAM_TRUSTED_HOSTS`."
        ),
    ),
    (
        "unsupported-media-type",
        415,
        "Unsupported media type",
        "Send `application/json`, not compressed, in UTF-8.",
    ),
    (
        "drawing-refused",
        422,
        "The drawing cannot be used",
        (
            "A file sent for inspection cannot be read, is too large, contains unsupported "
            "elements, or states no unit. `detail` says which, and how to correct it."
        ),
    ),
    (
        "format-settings",
        422,
        "A format's setting is missing or wrong",
        (
            "A cutter's `formats` has a setting that the format does not support, or lacks a setting "
            "without a default, such as a laser's power, a knife's depth or the feed."
        ),
    ),
    (
        "format-cannot-hold",
        422,
        "A format cannot hold the plan",
        ("The plan is larger than the format's numbers or pages allow. `detail` states the limit."),
    ),
    (
        "material-not-for-laser",
        422,
        "A laser must not cut this material",
        (
            "A laser cuts neither `vinyl` nor `other` (nor a material whose kind is left out), as "
            "fumes of PVC and of unknown materials harm lungs and machine. State the material's "
            "kind, or cut it with a blade. Only where its safety data sheet allows a laser, state "
            '`"laser_safe": true` in the material.'
        ),
    ),
    (
        "schema-mismatch",
        422,
        "The request does not fit its schema",
        (
            "A member is missing, unknown, of the wrong type or out of bounds. `errors` lists each "
            "with a JSON pointer into the body, or the name of the query parameter."
        ),
    ),
    (
        "invalid-request",
        422,
        "Some values cannot be used",
        (
            "The request fits its schema, but some values are unusable, such as a length without "
            "units, two sizes at once, or a margin wider than the bed. `errors` lists them all."
        ),
    ),
    (
        "allowance-too-large",
        422,
        "The seam allowance is too large for this outline",
        (
            "A hollow curve or a narrow inlet cannot be moved out that far. `largest_mm` states the "
            "largest allowance that works, where there is one."
        ),
    ),
    (
        "does-not-fit",
        422,
        "A piece is larger than the work area",
        (
            "`errors` lists every piece that does not fit, with the largest size that would. Of "
            "the first, `needed` and `available` state both boxes, `short_by_mm` by how much it is "
            "short, `largest` the largest scale that fits."
        ),
    ),
    (
        "not-enough-stock",
        422,
        "The stock does not hold all pieces",
        (
            "Nothing was made. `shortfall` lists, run by run, the pieces that are missing and what to "
            "buy for them. POST /v1/layouts of the same request shows what the stock does hold."
        ),
    ),
    (
        "too-many-pieces",
        422,
        "Too many pieces on one load",
        "`detail` states the limit; use a smaller sheet or larger pieces.",
    ),
    (
        "too-many-requests",
        429,
        "Too many requests",
        "Try again after the number of seconds in `Retry-After`.",
    ),
    (
        "headers-too-large",
        431,
        "The headers are too large",
        "A header has more than 8190 bytes, or there are more than 60.",
    ),
    (
        "plugin-failed",
        500,
        "An installed format is broken",
        (
            "A plug-in that writes a format raised an error, did not answer in time, ended its "
            "process or returned something other than files. `detail` names it; other formats are "
            "not affected, and `GET /v1/formats` lists formats known to be broken."
        ),
    ),
    (
        "internal-error",
        500,
        "Internal server error",
        (
            "An error in the service, not in the request. The log has the details under the "
            "`request_id`. Nothing was stored."
        ),
    ),
    (
        "batch-too-large",
        422,
        "The batch is too large",
        (
            "`count` states its number of kits and `most` the limit, or `most_effort_s` states the "
            "limit in seconds of search. Divide the batch, or request less effort."
        ),
    ),
    (
        "not-ended",
        409,
        "Not finished yet",
        "The result exists once the job or the whole batch has ended; `state` is its current state.",
    ),
    (
        "worker-died",
        500,
        "The worker died",
        (
            "A job gets up to three attempts; each time the worker process ended unexpectedly. This "
            "type appears only as the `problem` of a job."
        ),
    ),
    (
        "too-many-streams",
        503,
        "Too many streams at once",
        (
            "Following a job and fetching a whole batch each occupy a thread of the server, so their "
            "number is limited; `most` states the limit per process. Poll the job instead, or try "
            "again after the number of seconds in `Retry-After`."
        ),
    ),
    (
        "key-reused",
        422,
        "This Idempotency-Key was used before",
        "The key was used with another body or resource; use a new key for each request.",
    ),
    (
        "needs-too-much-memory",
        422,
        "Out of memory",
        "The computation was stopped at the limit in `detail`; request less at once.",
    ),
    (
        "computation-died",
        500,
        "The computation died",
        (
            "The process that computed this request crashed. This is an error in the service; the "
            "log has the details under the `request_id`. Nothing was stored."
        ),
    ),
    (
        "computation-stopped",
        503,
        "The computation was stopped",
        (
            "The process that computed this request was killed from outside, more than once: by an "
            "operator, or because the machine ran out of memory. Nothing was stored. Try again after "
            "the number of seconds in `Retry-After`; a job was tried three times."
        ),
    ),
    (
        "busy",
        503,
        "Service busy",
        "Try again after the number of seconds in `Retry-After`.",
    ),
    (
        "took-too-long",
        503,
        "Computation timed out",
        (
            "The computation was stopped at the limit in `detail`. Trying again helps only if "
            "the machine was busy; request less at once, or less effort."
        ),
    ),
    (
        "unavailable",
        503,
        "Service unavailable",
        "Try again after the number of seconds in `Retry-After`.",
    ),
)

TYPES: Final[Mapping[str, ProblemType]] = MappingProxyType(
    {row[0]: ProblemType(*row) for row in _ROWS}
)

BY_STATUS: Final[Mapping[int, str]] = MappingProxyType(
    {
        400: "bad-request",
        404: "not-found",
        405: "method-not-allowed",
        406: "not-acceptable",
        408: "request-timeout",
        412: "precondition-failed",
        413: "body-too-large",
        414: "address-too-long",
        431: "headers-too-large",
        415: "unsupported-media-type",
        421: "misdirected-request",
        503: "unavailable",
    }
)
"""The types of plain HTTP errors."""


def markdown() -> str:
    """Return the text of openapi/problems.md: one heading per type."""
    parts = [
        "# Problems\n",
        (
            "Every error is a problem document (RFC 9457, `application/problem+json`). Its `type` "
            f"is `{PLACE}#NAME` with one of the names below.\n"
        ),
    ]
    parts.extend(
        f"## {each.slug}\n\n{each.title} ({each.status}).\n\n{each.text}\n"
        for each in TYPES.values()
    )
    return "\n".join(parts)
