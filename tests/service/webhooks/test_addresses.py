"""Addresses that messages may not go to, however they are written."""

from __future__ import annotations

import pytest

from service.webhooks.addresses import as_address, refusal_of

# Source: IANA IPv4 and IPv6 Special-Purpose Address Registries, and the RFC named beside each.
REFUSED = {
    "0.0.0.0": "unspecified",  # RFC 1122
    "0.1.2.3": "private",  # RFC 791, "this network"
    "10.0.0.1": "private",  # RFC 1918
    "100.64.0.1": "not public",  # RFC 6598, shared address space
    "127.0.0.1": "loopback",  # RFC 1122
    "127.255.255.254": "loopback",
    "169.254.169.254": "link-local",  # RFC 3927
    "172.16.0.1": "private",
    "172.31.255.255": "private",
    "192.0.2.1": "private",  # RFC 5737, documentation
    "192.168.1.1": "private",
    "198.18.0.1": "private",  # RFC 2544, benchmarking
    "224.0.0.1": "multicast",  # RFC 5771
    "240.0.0.1": "private",  # RFC 1112, reserved
    "255.255.255.255": "private",  # RFC 919
    "::": "unspecified",  # RFC 4291
    "::1": "loopback",
    "::ffff:127.0.0.1": "loopback (127.0.0.1 inside)",  # RFC 4291, 2.5.5.2
    "::ffff:10.1.2.3": "private (10.1.2.3 inside)",
    "::7f00:1": "reserved",  # RFC 4291, 2.5.5.1: IPv4-compatible
    "64:ff9b::7f00:1": "loopback (127.0.0.1 inside)",  # RFC 6052
    "64:ff9b::a00:1": "private (10.0.0.1 inside)",
    "64:ff9b:1::1": "private",  # RFC 8215
    "100::1": "private",  # RFC 6666, discard
    "2001:db8::1": "private",  # RFC 3849, documentation
    "2001:0:4136:e378:8000:63bf:f5ff:fffe": "private (10.0.0.1 inside)",  # RFC 4380: Teredo, the client's address inverted
    "2002:a00:1::1": "private (10.0.0.1 inside)",  # RFC 3056: 6to4
    "fc00::1": "private",  # RFC 4193
    "fd12:3456::1": "private",
    "fe80::1": "link-local",
    "fe80::1%eth0": "link-local",
    "fec0::1": "site-local",  # RFC 3879
    "ff02::1": "multicast",
}  # fmt: skip
NEAREST_LEGAL = (
    "1.0.0.1", "9.255.255.255", "11.0.0.0", "100.63.255.255", "100.128.0.0", "126.255.255.255", "128.0.0.1", "169.253.255.255",
    "169.255.0.0", "172.15.255.255", "172.32.0.0", "192.167.255.255", "192.169.0.0", "223.255.255.255", "2606:4700::1111",
    "::ffff:8.8.8.8", "64:ff9b::808:808", "2002:808:808::1",
)  # fmt: skip


@pytest.mark.parametrize(("address", "word"), REFUSED.items())
def test_an_address_that_is_not_public_is_refused(address: str, word: str) -> None:
    assert refusal_of(as_address(address)) == word


@pytest.mark.parametrize("address", NEAREST_LEGAL)
def test_a_public_address_is_not(address: str) -> None:
    assert refusal_of(as_address(address)) is None
