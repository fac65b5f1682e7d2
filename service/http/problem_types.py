# ruff: noqa: E501 - the texts stand in rows
"""Every kind of problem that an answer can name: one row a kind, the source of problems.md."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

PLACE = "/problems"
"""Where the text of the types is served."""


@dataclass(frozen=True)
class ProblemType:
    """One kind of problem.

    Args:
        slug: its name, the last part of its type's address.
        status: the HTTP status it comes with.
        title: its short name for people, the same every time.
        text: what it means and what to do.
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
            "This service asks for a key: `Authorization: Bearer KEY`. Keys are made on the "
            "command line by whoever runs it."
        ),
    ),
    (
        "scope-too-small",
        403,
        "The key may not do that",
        "Keys are for reading, for writing too, or for everything. `detail` says what is needed.",
    ),
    (
        "other-origin",
        403,
        "A page of another site may not send this",
        (
            "A browser says that this was sent by a page of another site. Whoever runs the service "
            "can list that page's origin."
        ),
    ),
    (
        "not-found",
        404,
        "There is nothing here",
        (
            "No resource has this address: the path is not one of the document's, or what it names "
            "was never made or has been deleted."
        ),
    ),
    (
        "method-not-allowed",
        405,
        "This resource does not take that method",
        "The header `Allow` lists the methods it takes.",
    ),
    (
        "not-acceptable",
        406,
        "No answer in an acceptable form",
        (
            "The header `Accept` rules out every media type that this resource has; `detail` lists "
            "them."
        ),
    ),
    (
        "request-timeout",
        408,
        "The request did not arrive in time",
        (
            "The headers or the body stopped arriving, or came too slowly. Send the request again; "
            "nothing was done."
        ),
    ),
    (
        "cutter-read-only",
        409,
        "Built-in cutters cannot be changed",
        "Save your own cutter under another name; a built-in one is a good start to copy from.",
    ),
    (
        "still-running",
        409,
        "The first request is still being answered",
        "A request with this `Idempotency-Key` is under way; ask again in a moment.",
    ),
    (
        "precondition-failed",
        412,
        "It has changed meanwhile",
        (
            "The header `If-Match` or `If-None-Match` names another version than the one that is "
            "there. Fetch it again and decide anew."
        ),
    ),
    (
        "body-too-large",
        413,
        "The body is too large",
        "`detail` states the limit. It holds for bodies sent in chunks too.",
    ),
    (
        "address-too-long",
        414,
        "The address is too long",
        "The request line has more than 8190 bytes; no address of this service needs as many.",
    ),
    (
        "misdirected-request",
        421,
        "The request is for another host",
        (
            "The header `Host` names a host that this service does not answer for. Without keys it "
            "answers for `localhost`, `127.0.0.1` and `[::1]` only, so that no page of another site "
            "can reach it under a name of its own; whoever runs it can list further names in "
            "`QUARTERSEAM_TRUSTED_HOSTS`."
        ),
    ),
    (
        "unsupported-media-type",
        415,
        "The body is of the wrong kind",
        "Send `application/json`, not compressed, in UTF-8.",
    ),
    (
        "drawing-refused",
        422,
        "The drawing cannot be used",
        (
            "A file sent for inspection cannot be read, is too large, draws with elements that are "
            "not read, or states no unit. The text says which, and what would be right."
        ),
    ),
    (
        "format-settings",
        422,
        "A format's setting is missing or wrong",
        (
            "A cutter's `formats` says something that the format does not know, or leaves out what "
            "it never guesses, such as a laser's power, a knife's depth or the feed."
        ),
    ),
    (
        "format-cannot-hold",
        422,
        "A format cannot hold the plan",
        (
            "The plan is larger than the format's numbers or pages reach. The text says how far "
            "they reach."
        ),
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
            "The request fits its schema, but some values make no piece, run or cutter: a length "
            "without units, two sizes at once, a margin wider than the bed. `errors` lists them all."
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
            "`needed` and `available` state both boxes, `short_by_mm` by how much it is short, "
            "`largest` the largest scale that fits."
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
        "Go on after the number of seconds in `Retry-After`.",
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
            "A plug-in that writes a format raised an error, gave no answer in time, ended its "
            "process or handed back what is no file. The text names it; other formats are not "
            "affected, and `GET /v1/formats` lists those that can be seen to be broken."
        ),
    ),
    (
        "internal-error",
        500,
        "Something went wrong here",
        (
            "A defect of the service, not of the request. The log has the details under the "
            "`request_id`. Nothing was stored."
        ),
    ),
    (
        "batch-too-large",
        422,
        "A batch of too many kits",
        (
            "`count` states how many kits it would make, `most` how many one batch may, or "
            "`most_effort_s` how many seconds of search it may ask for; divide it, or state less "
            "effort."
        ),
    ),
    (
        "not-ended",
        409,
        "It has not ended yet",
        "What is asked for is there once the job or the whole batch has ended; `state` says how far it is.",
    ),
    (
        "worker-died",
        500,
        "Whatever did this job died",
        (
            "A job is tried up to three times; each time the process that did it ended without a "
            "word. Seen only as the `problem` of a job."
        ),
    ),
    (
        "too-many-streams",
        503,
        "Too many streams at once",
        (
            "Following a job and fetching a whole batch keep a thread of the server busy, so only "
            "some may at once; `most` says how many in each process. Ask for the job itself now and then instead, or "
            "try again after the number of seconds in `Retry-After`."
        ),
    ),
    (
        "key-reused",
        422,
        "This Idempotency-Key was used before",
        "The key came with another body or for another resource; use a new one for each request.",
    ),
    (
        "needs-too-much-memory",
        422,
        "This would need too much memory",
        "The computation was stopped at the limit in `detail`; ask for less at once.",
    ),
    (
        "computation-died",
        500,
        "The computation died",
        (
            "The process that computed this request ended by itself. A defect of the service; the "
            "log has the details under the `request_id`. Nothing was stored."
        ),
    ),
    (
        "computation-stopped",
        503,
        "The computation was stopped",
        (
            "The process that computed this request was killed from outside, more than once: by an "
            "operator, or for want of memory on the machine. Nothing was stored. Try again after "
            "the number of seconds in `Retry-After`; a job was tried three times."
        ),
    ),
    (
        "busy",
        503,
        "Too much to do at the moment",
        "Try again after the number of seconds in `Retry-After`.",
    ),
    (
        "took-too-long",
        503,
        "This takes too long",
        (
            "The computation was stopped at the limit in `detail`. Trying again helps only when "
            "the machine was busy; ask for less at once, or for less effort."
        ),
    ),
    (
        "unavailable",
        503,
        "The service cannot answer now",
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
"""The type of a plain HTTP error that nobody gave a type of its own."""


def markdown() -> str:
    """Return the text of openapi/problems.md: one heading a type."""
    parts = [
        "# Problems\n",
        (
            "Every refusal is a problem document (RFC 9457, `application/problem+json`). Its `type` "
            f"is `{PLACE}#NAME` with one of the names below.\n"
        ),
    ]
    parts.extend(
        f"## {each.slug}\n\n{each.title} ({each.status}).\n\n{each.text}\n"
        for each in TYPES.values()
    )
    return "\n".join(parts)
