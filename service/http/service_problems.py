# ruff: noqa: E501 - one row per type
"""Problems of the service: its limits, what has not ended, and its own errors."""

from __future__ import annotations

ROWS = (
    # slug, status, title, text
    (
        "too-many-requests",
        429,
        "Too many requests",
        "Try again after the number of seconds in `Retry-After`.",
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
        "plan-not-proved",
        500,
        "A cut plan is not proved",
        (
            "Every cut is simulated before a file is written, and this plan would not cut its "
            "pieces to size. It is an error in the service, not in the request: no file was "
            "written and nothing was stored. `run` and `load` say where, counted from 1, and "
            "`faults` lists placements and strokes, counted from 0 as in the format `plan`. "
            "Report it with its `request_id`; another `seed`, `effort` or `gap` makes another plan."
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
        "callback-failed",
        502,
        "The callback failed",
        (
            "The receiver answered none of the attempts of several days with a status from 200 to "
            "299, or answered 410; `detail` states the last reason. This type appears only as the "
            "`problem` of a job of the kind `callback`."
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
