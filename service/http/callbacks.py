"""Callbacks that requests ask for: only to hosts that the operator lists."""

from __future__ import annotations

from service.callbacks.destinations import Destinations, RefusedError
from service.errors import Fault, InvalidRequestError
from service.http.current import settings
from service.requests.callbacks import Callback
from service.schemas.loading import count_of


def check_callback(callback: Callback | None) -> None:
    """Check that a request's callback goes to a host that may be called; ``None`` passes.

    The host's addresses are checked when it is called.

    Raises:
        InvalidRequestError: when it does not.
    """
    if callback is None:
        return
    stated = settings()
    try:
        Destinations(stated.callback_hosts, stated.callback_networks).destination(callback.url)
    except RefusedError as error:
        fault = Fault("#/callback/url", str(error))
        raise InvalidRequestError(count_of(1), [fault]) from None


def refuse_callback(callback: Callback | None, detail: str) -> None:
    """Refuse a callback where nothing is made that it could report.

    Raises:
        InvalidRequestError: when there is one.
    """
    if callback is not None:
        raise InvalidRequestError(count_of(1), [Fault("#/callback", detail)])
