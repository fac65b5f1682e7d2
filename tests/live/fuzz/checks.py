"""Checks of our own for the fuzzer, and one of its own that must not look everywhere."""

from __future__ import annotations

from typing import Any

import schemathesis
from schemathesis.specs.openapi.checks import use_after_free


@schemathesis.check
def schema_agrees_with_document(
    ctx: schemathesis.CheckContext, response: schemathesis.Response, case: schemathesis.Case[Any]
) -> None:
    del ctx
    if (
        case.meta is None
        or not case.meta.generation.mode.is_positive
        or response.status_code != 422
    ):
        return
    payload = response.json()
    assert payload["type"] != "/problems#schema-mismatch", payload


@schemathesis.check
def deleted_is_gone(
    ctx: schemathesis.CheckContext, response: schemathesis.Response, case: schemathesis.Case[Any]
) -> bool | None:
    # To delete a job or a batch is to cancel it; what became of it can still be looked at.
    if case.operation.path.startswith(("/v1/jobs/", "/v1/batches/")):
        return None
    return use_after_free(ctx, response, case)
