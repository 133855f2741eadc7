"""The request headers that steer the service: Prefer, Idempotency-Key, Host, If-Match, If-None-Match."""

from __future__ import annotations

import ipaddress
import re

from service.http.problems import HttpProblem

LONGEST_KEY = 255
_TAG = re.compile(r'"([\x21\x23-\x7e\x80-\xff]*)"')
_ENTRY = re.compile(r'[ \t]*(?:(W/)?"([\x21\x23-\x7e\x80-\xff]*)")?[ \t]*(?:,|\Z)')
_MOST_TAGS = 20
_WAIT = re.compile(r'(?:^|[,;])\s*wait\s*=\s*"?(\d{1,9})"?\s*(?=$|[,;])', re.IGNORECASE)


def wait_preferred(prefer: str | None, longest_s: float) -> float | None:
    """Return the seconds of ``Prefer: wait=N`` (RFC 7240), at most `longest_s`; None if it is not asked.

    A preference that cannot be read is ignored, as the standard asks.
    """
    found = _WAIT.search(prefer or "")
    return None if found is None else min(float(found.group(1)), longest_s)


def key_given(key: str | None) -> str | None:
    """Return the key as given; raises Problem ``bad-header`` if it is empty, too long or not printable ASCII."""
    if key is None:
        return None
    if not (0 < len(key) <= LONGEST_KEY and key.isascii() and key.isprintable()):
        raise HttpProblem("bad-header", f"Idempotency-Key; accepted: 1 to {LONGEST_KEY} printable ASCII characters")
    return key


def must_be_fresh(cache_control: str | None) -> bool:
    """Return whether a request's ``Cache-Control`` wants no answer from a store (RFC 9111, 5.2.1.4)."""
    return "no-cache" in (each.strip().lower() for each in (cache_control or "").split(","))


def host_answered(host: str, answered: str, numbers_too: bool) -> bool:
    """Return whether a Host header names one of the hosts answered (names separated by blanks; ``*`` is any).

    Refusing others keeps a web page whose name was pointed at this machine from reading a shop's stock: a browser takes whatever
    that name leads to for the page's own. `numbers_too`: addresses in numbers are answered as well. No page's name can be pointed
    somewhere else by them, and a server that others reach has many, of its cards and of gateways before it.
    """
    names = answered.lower().split()
    name = re.sub(r":\d+$", "", host.strip().lower())
    return "*" in names or name in names or (numbers_too and _is_number(name))


def _is_number(host: str) -> bool:
    bare = host[1:-1] if host.startswith("[") and host.endswith("]") else host
    try:
        return bool(ipaddress.ip_address(bare))
    except ValueError:
        return False


def event_number(last_seen: str | None) -> int:
    """Return the number of the event after the one a ``Last-Event-ID`` names, 0 if it names none."""
    text = (last_seen or "").strip()
    return int(text) + 1 if text.isascii() and text.isdecimal() and len(text) <= 9 else 0


def named_by(if_none_match: str, tag: str) -> bool:
    """Return whether an ``If-None-Match`` names what has this tag (RFC 9110, 13.1.2: tags in a list, weak or not, or ``*``)."""
    return if_none_match.strip() == "*" or tag in _TAG.findall(if_none_match)


def strong_tags(if_match: str) -> list[str]:
    """Return the strong tags an ``If-Match`` lists (RFC 9110, 13.1.1: weak ones match nothing, so they are left out).

    Raises
    ------
    Problem
        ``bad-header`` if it is no list of tags, or a very long one.
    """
    found: list[str] = []
    at, entries = 0, 0
    while at < len(if_match):
        entry = _ENTRY.match(if_match, at)
        if entry is None:
            raise HttpProblem("bad-header", 'If-Match; accepted: ETags as they were sent, such as "3", or *')
        at = entry.end()
        entries += entry[2] is not None
        if entry[2] is not None and entry[1] is None:
            found.append(entry[2])
    if not 1 <= entries <= _MOST_TAGS:
        raise HttpProblem("bad-header", f"If-Match lists {entries} ETags; accepted: 1 to {_MOST_TAGS}, or *")
    return found
