"""Which addresses of the internet messages may go to: none inside the shop's own network, however they are written."""

from __future__ import annotations

import ipaddress
from ipaddress import IPv4Address, IPv6Address, IPv6Network

IpAddress = IPv4Address | IPv6Address
_NAT64 = IPv6Network("64:ff9b::/96")
_LOCAL_NAT64 = IPv6Network("64:ff9b:1::/48")
"""RFC 6052, 2.1; RFC 8215."""


def refusal_of(address: IpAddress) -> str | None:
    """Return what an address is that no message may go to, None if one may."""
    inner = _carried(address)
    if inner is not None:
        found = refusal_of(inner)
        return None if found is None else f"{found} ({inner} inside)"
    if isinstance(address, IPv6Address) and address in _LOCAL_NAT64:
        return "private"
    for word, is_so in _KINDS:
        if getattr(address, is_so, False):
            return word
    return None if address.is_global else "not public"


def as_address(text: str) -> IpAddress:
    """Return an address as the name service gives it."""
    return ipaddress.ip_address(text)


def _carried(address: IpAddress) -> IPv4Address | None:
    """Return the IPv4 address that an IPv6 one leads to: mapped, by 6to4, by Teredo, by NAT64; None if it leads to none."""
    if isinstance(address, IPv4Address):
        return None
    if address in _NAT64:
        return IPv4Address(int(address) & 0xFFFFFFFF)
    teredo = address.teredo
    return address.ipv4_mapped or address.sixtofour or (None if teredo is None else teredo[1])


_KINDS = (
    ("unspecified", "is_unspecified"),
    ("loopback", "is_loopback"),
    ("link-local", "is_link_local"),
    ("multicast", "is_multicast"),
    ("site-local", "is_site_local"),
    ("private", "is_private"),
    ("reserved", "is_reserved"),
)
"""As `ipaddress` knows them from IANA's registries of special-purpose addresses."""
