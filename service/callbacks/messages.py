"""Messages: the body of a callback, and the callback as it is stored until it is delivered."""

from __future__ import annotations

import uuid
from dataclasses import asdict, dataclass

import orjson

from service.answers.callbacks import CallbackBody
from service.requests.callbacks import Callback
from service.schemas.codec import dump

#: Makes the id of a callback from that of its kit, job or batch, which has only one.
_NAMESPACE = uuid.UUID("0b1f4c53-6a0e-4a57-9d0c-2c9f6a1d7e84")


@dataclass(frozen=True)
class CallbackRequest:
    """A callback that was asked for, as a job or a batch stores it until its end.

    Args:
        url: of the receiver.
        secret: signs the message.
        reference: of the request; may be empty.
    """

    url: str
    secret: str
    reference: str = ""


@dataclass(frozen=True)
class CallbackMessage:
    """A callback that is due.

    Args:
        url: of the receiver.
        secret: signs it.
        body: what is sent, JSON.
    """

    url: str
    secret: str
    body: str


def callback_id(resource_id: str) -> str:
    """Return the id of the callback of a kit, job or batch; it is the message's ``webhook-id``."""
    return str(uuid.uuid5(_NAMESPACE, resource_id))


def request_bytes(callback: Callback | None, reference: str) -> bytes | None:
    """Return a callback as a job or batch stores it; ``None`` without one."""
    if callback is None:
        return None
    return orjson.dumps(asdict(CallbackRequest(callback.url, callback.secret, reference)))


def read_request(stored: bytes) -> CallbackRequest:
    """Return a callback from what a job or batch stores."""
    return CallbackRequest(**orjson.loads(stored))


def message_bytes(request: CallbackRequest, body: CallbackBody) -> bytes:
    """Return a callback as it is stored until it is delivered."""
    text = orjson.dumps(dump(body)).decode()
    return orjson.dumps(asdict(CallbackMessage(request.url, request.secret, text)))


def read_message(stored: bytes) -> CallbackMessage:
    """Return a stored callback."""
    return CallbackMessage(**orjson.loads(stored))
