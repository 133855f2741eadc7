"""What the reference says of keys: the two ways to come with one, and which roles an operation takes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.access.rights import OPEN, RIGHTS
from service.http.guard.credentials import COOKIE

_SCHEMES = {
    "key": {"type": "http", "scheme": "bearer", "description": "an API key, `hw_...`; `holdwright keys make` makes the first"},
    "sign_in": {"type": "apiKey", "in": "cookie", "name": COOKIE, "description": "a browser signed in by a key at `/v1/sign-in`"},
}


def add_security(document: dict[str, Any]) -> None:
    """Say of every operation of an OpenAPI document whether it needs a key, and of which roles.

    On a machine where no key was ever made none is needed, which OpenAPI cannot say.
    """
    document.setdefault("components", {})["securitySchemes"] = _SCHEMES
    for methods in document["paths"].values():
        for operation in methods.values():
            operation |= _security(operation["operationId"])


def _security(operation: str) -> Mapping[str, Any]:
    if operation in OPEN:
        return {"security": []}
    return {"security": [{name: []} for name in _SCHEMES], "x-roles": list(RIGHTS.get(operation, ()))}
