# ruff: noqa: E501 - one row per type
"""Problems of the exchange itself: headers, addresses, keys, and bodies that cannot be read."""

from __future__ import annotations

ROWS = (
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
        "link-expired",
        403,
        "The link has expired",
        (
            "A signed link opens its file for some hours; `detail` says when this one ended. Open the "
            "file again from the page, or create another link: `POST /v1/kits/{kit_id}/links`."
        ),
    ),
    (
        "link-altered",
        403,
        "The link cannot be used",
        (
            "A signed link opens one file and holds only as it was made: this one was altered or cut "
            "short, or the key that made it was revoked, has expired or has another secret now. Open "
            "the file again from the page, or create another link."
        ),
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
        "name-taken",
        409,
        "Another key uses this name",
        (
            "What is saved by name belongs to the key that saved it, and each name is there once. Use "
            "another name. What the other key saved is neither shown nor changed."
        ),
    ),
    (
        "block-read-only",
        409,
        "Blocks of the gallery cannot be changed",
        "Save your own block under another name; you can copy one of the gallery.",
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
        "headers-too-large",
        431,
        "The headers are too large",
        "A header has more than 8190 bytes, or there are more than 60.",
    ),
    (
        "key-reused",
        422,
        "This Idempotency-Key was used before",
        "The key was used with another body or resource; use a new key for each request.",
    ),
)
