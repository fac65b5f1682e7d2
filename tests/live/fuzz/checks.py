"""A check of our own for the fuzzer: what fits the document is never refused by a schema."""

from __future__ import annotations

import schemathesis


@schemathesis.check
def schema_agrees_with_document(
    ctx: schemathesis.CheckContext, response: schemathesis.Response, case: schemathesis.Case
) -> None:
    del ctx
    if (
        case.meta is None
        or not case.meta.generation.mode.is_positive
        or response.status_code != 422
    ):
        return
    told = response.json()
    assert told["type"] != "/problems#schema-mismatch", told
