"""Addresses of the network: which of them belong to the public internet."""

from __future__ import annotations

import ipaddress
from typing import TypeAlias

Address: TypeAlias = ipaddress.IPv4Address | ipaddress.IPv6Address

#: Prefixes of IPv6 whose last 32 bits are an IPv4 address: translation (RFC 6052) and the old
#: "compatible" form (RFC 4291).
_WRAPPING = (ipaddress.IPv6Network("64:ff9b::/96"), ipaddress.IPv6Network("::/96"))
#: Not public, though some versions of ``ipaddress`` call them global: protocol assignments
#: (RFC 6890), relays of 6to4 (RFC 7526), local translation (RFC 8215), and what was site-local
#: (RFC 3879).
_NOT_PUBLIC = tuple(
    ipaddress.ip_network(each)
    for each in ("192.0.0.0/24", "192.88.99.0/24", "64:ff9b:1::/48", "fec0::/10")
)
_LAST_32 = 0xFFFF_FFFF


def unwrapped(address: Address) -> Address:
    """Return the IPv4 address that an IPv6 address stands for; others as they are."""
    if isinstance(address, ipaddress.IPv4Address):
        return address
    inside = address.ipv4_mapped or address.sixtofour
    if inside is not None:
        return inside
    if address not in {ipaddress.IPv6Address("::"), ipaddress.IPv6Address("::1")} and any(
        address in network for network in _WRAPPING
    ):
        return ipaddress.IPv4Address(int(address) & _LAST_32)
    return address


def is_public(address: Address) -> bool:
    """Return whether an address is one host's on the public internet.

    Loopback, private, link-local, shared, documentation, multicast and reserved addresses are not
    (IANA's registries of special-purpose addresses, as ``ipaddress`` has them).
    """
    found = unwrapped(address)
    if any(found in each for each in _NOT_PUBLIC):
        return False
    return found.is_global and not found.is_multicast and not found.is_reserved
