"""What a callback's body says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

from service.schemas.answers import Link, Timestamp, Uuid

CallbackType: TypeAlias = Literal["kit.created", "job.ended", "batch.ended"]


@dataclass(frozen=True, kw_only=True)
class CallbackData:
    """The resource that a callback is about; its links are paths on the service."""

    id: Uuid
    href: Annotated[Link, "the kit, job or batch"]
    title: str
    state: Annotated[str, "`created` for a kit, else the state of the job or batch"]
    number: Annotated[str | None, "of the kit that was made, or of the batch"] = None
    reference: Annotated[str | None, "the request's"] = None
    kit: Annotated[Link | None, "the kit that was made"] = None
    result: Annotated[Link | None, "a job's answer, where that is no kit"] = None
    failures: Annotated[Link | None, "a batch's kits that could not be made"] = None


@dataclass(frozen=True, kw_only=True)
class CallbackBody:
    """The body of a callback, structured as Standard Webhooks recommends."""

    type: CallbackType
    timestamp: Annotated[Timestamp, "when it happened, not when it was sent"]
    data: CallbackData
