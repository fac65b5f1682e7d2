"""Signatures of callbacks by the Standard Webhooks specification 1.0.0."""

from __future__ import annotations

import base64
import hashlib
import hmac
from collections.abc import Mapping

from service.requests.callbacks import secret_bytes


def signed_headers(
    secret: str, message_id: str, timestamp_s: int, body: bytes
) -> Mapping[str, str]:
    """Return the three headers of a message.

    Args:
        secret: ``whsec_`` and base64.
        message_id: the same for every attempt; without a full stop.
        timestamp_s: when this attempt is made, s since 1970.
        body: as it is sent, byte for byte.

    Raises:
        ValueError: when the secret is not one.
    """
    content = b".".join((message_id.encode(), str(timestamp_s).encode(), body))
    digest = hmac.new(secret_bytes(secret), content, hashlib.sha256).digest()
    return {
        "webhook-id": message_id,
        "webhook-timestamp": str(timestamp_s),
        "webhook-signature": f"v1,{base64.b64encode(digest).decode()}",
    }
