"""Refuse what a page of another site makes a browser ask for (cross-site request forgery).

A browser sends a cookie, or reaches this machine, whoever wrote the page it shows. So a change is refused unless the browser
says that the page came from here: by ``Sec-Fetch-Site: same-origin`` (W3C, Fetch Metadata Request Headers), which browsers send
to https addresses and to their own machine; elsewhere by ``Origin`` (RFC 6454, 7), compared with ``Host`` as OWASP's cheat sheet
on the subject advises ("Verifying Origin with Standard Headers"; sources not checked again). No page can set either header. The
cookie is ``SameSite=Strict`` besides. Whoever sends a key is not asked: no browser sends one by itself.
"""

from __future__ import annotations

from urllib.parse import urlsplit

from starlette.requests import Request

from service.http.problems import HttpProblem

SAFE = ("GET", "HEAD", "OPTIONS", "TRACE")
"""Methods that change nothing (RFC 9110, 9.2.1)."""


def refuse_other_sites(request: Request, *, proof_needed: bool, by_key: bool) -> None:
    """Refuse a change that a page of another site asks for.

    Parameters
    ----------
    proof_needed : bool
        Whether a request that does not say where it comes from is refused too: that of a browser's cookie. Programs without one
        say nothing, and could say anything.
    by_key : bool
        Whether it came with a key.

    Raises
    ------
    Problem
        ``cross-site``.
    """
    if by_key or request.method in SAFE:
        return
    site, origin = request.headers.get("sec-fetch-site"), request.headers.get("origin")
    if site is not None:
        said, ours = f"Sec-Fetch-Site is {site!r}", site == "same-origin"
    elif origin is not None:
        said, ours = f"Origin is {origin!r}", _place(origin) == request.headers.get("host", "").lower()
    else:
        said, ours = "neither Sec-Fetch-Site nor Origin is there", not proof_needed
    if not ours:
        raise HttpProblem("cross-site", f"{said}; accepted: a page of this server, or a program that sends a key"[:300])


def _place(origin: str) -> str:
    try:
        return urlsplit(origin).netloc.lower()
    except ValueError:
        return ""
