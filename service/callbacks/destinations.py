"""Destinations: the operator's list of hosts that may be called, and of their addresses."""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from urllib.parse import urlsplit

from service.callbacks.addresses import Address, is_public, unwrapped

_PORTS = {"http": 80, "https": 443}


class RefusedError(Exception):
    """A destination that may not be called; the message says why."""


@dataclass(frozen=True)
class Destination:
    """Where a message is sent.

    Args:
        is_secure: whether TLS is used.
        host: its name or address, in small letters.
        port: of TCP.
        target: path and query, as the request line states them.
    """

    is_secure: bool
    host: str
    port: int
    target: str

    @property
    def authority(self) -> str:
        """Return the value of the header ``Host``."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        usual = _PORTS["https" if self.is_secure else "http"]
        return host if self.port == usual else f"{host}:{self.port}"


class Destinations:
    """The operator's lists.

    Args:
        hosts: names and addresses, with a port where it is not the scheme's own.
        networks: networks outside the public internet whose addresses may be called.
    """

    def __init__(self, hosts: Sequence[str], networks: Sequence[str]) -> None:
        self._hosts = frozenset(hosts)
        self._networks = tuple(ipaddress.ip_network(each) for each in networks)

    def destination(self, url: str) -> Destination:
        """Return the destination of a URL.

        Raises:
            RefusedError: when its host is not listed.
        """
        parts = urlsplit(url)
        host = (parts.hostname or "").lower()
        is_secure = parts.scheme == "https"
        port = parts.port or _PORTS[parts.scheme]
        query = f"?{parts.query}" if parts.query else ""
        found = Destination(is_secure, host, port, (parts.path or "/") + query)
        if not self._hosts:
            raise RefusedError(
                "This service calls nobody: its operator lists hosts in QUARTERSEAM_CALLBACK_HOSTS."
            )
        if found.authority not in self._hosts:
            raise RefusedError(
                f"{found.authority} is not a host that this service may call; its operator lists "
                "them in QUARTERSEAM_CALLBACK_HOSTS."
            )
        return found

    def check_addresses(self, destination: Destination, found: Iterable[Address]) -> None:
        """Check the addresses of a destination, all of them.

        Raises:
            RefusedError: for one that is neither public nor listed, and for ``http`` to one that is
                not listed.
        """
        for address in found:
            if self._is_listed(destination, address):
                continue
            if not is_public(address):
                raise RefusedError(
                    f"{destination.host} has an address outside the public internet, which is "
                    "not in QUARTERSEAM_CALLBACK_NETWORKS."
                )
            if not destination.is_secure:
                raise RefusedError(
                    "http goes to addresses in QUARTERSEAM_CALLBACK_NETWORKS only; use https."
                )

    def _is_listed(self, destination: Destination, address: Address) -> bool:
        # An address in the list of hosts is listed by itself.
        if destination.host == str(address):
            return True
        return any(unwrapped(address) in network for network in self._networks)
