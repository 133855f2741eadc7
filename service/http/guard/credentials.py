"""What a request says of who asks: a key in its Authorization header, or a sign-in's token in its cookie."""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.requests import Request

from service.errors import KeyRefused

COOKIE = "holdwright_sign_in"
LONGEST = 200


def bearer_of(headers: Headers) -> str | None:
    """Return the key of ``Authorization: Bearer KEY`` (RFC 6750, 2.1), None if the header says something else or is not there.

    Raises
    ------
    KeyRefused
        The header is there twice, or longer than any key.
    """
    given = headers.getlist("authorization")
    if len(given) > 1:
        raise KeyRefused("Authorization is there more than once")
    scheme, _, key = (given[0] if given else "").strip().partition(" ")
    if scheme.lower() != "bearer":
        return None
    if len(key) > LONGEST:
        raise KeyRefused("the key is longer than any key")
    return key.strip()


def token_of(request: Request) -> str | None:
    """Return the token of a sign-in's cookie, None without one."""
    return request.cookies.get(COOKIE) or None
