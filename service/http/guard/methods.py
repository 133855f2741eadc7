"""Which methods an address takes, looked up in the routes themselves.

An address belongs to the first route whose pattern it fits, and to the routes of the same pattern: `/v1/stock/journal` is the
journal's, though `/v1/stock/{item}` would fit it too.
"""

from __future__ import annotations

from fastapi import FastAPI
from fastapi.routing import iter_route_contexts


def methods_at(app: FastAPI, path: str) -> list[str]:
    """Return the methods of every route of an address (RFC 9110, 10.2.1), OPTIONS and HEAD among them; none if there is none."""
    found = declared_at(app, path)
    return sorted(found | {"OPTIONS"} | ({"HEAD"} if "GET" in found else set())) if found else []


def head_is_get(app: FastAPI, path: str) -> bool:
    """Return whether HEAD at an address is to be answered as GET without a body: there is a GET, and no HEAD of its own."""
    found = declared_at(app, path)
    return "GET" in found and "HEAD" not in found


def declared_at(app: FastAPI, path: str) -> set[str]:
    """Return the methods that the routes of an address declare."""
    fitting = [route for route in iter_route_contexts(app.routes) if route.path_regex.match(path)]
    return {method for route in fitting if route.path_format == fitting[0].path_format for method in route.methods or ()}
