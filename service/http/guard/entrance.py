"""The entrance: who is asking, whether it may, and whether it asks too much, before anything of a body is read."""

from __future__ import annotations

import ipaddress
from collections.abc import Sequence
from typing import Any

from fastapi.routing import iter_route_contexts
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.routing import Match
from starlette.types import ASGIApp, Receive, Scope, Send

from inventory.errors import HoldwrightError, StoreError
from service.access.access import Access
from service.access.caller import Caller
from service.access.rates import network_of
from service.access.rights import OPEN, RIGHTS, UNASKED_FOR
from service.errors import KeyRefused
from service.http.guard.credentials import bearer_of, token_of
from service.http.guard.same_origin import refuse_other_sites
from service.http.problems import CHALLENGE, HttpProblem, problem_of

UNLISTED = "an address without an operation"


class Entrance:
    """Around every request: lets in who may do what its route does.

    Parameters
    ----------
    app : ASGIApp
        What lies behind: a FastAPI application's routes.
    """

    def __init__(self, app: ASGIApp, access: Access) -> None:
        self.app, self._access = app, access
        self._routes: Sequence[Any] | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":  # there are none, and none gets past by accident
            await send({"type": "websocket.close", "code": 1008})
            return
        if scope["type"] == "http":
            try:
                await self._admit(scope)
            except HoldwrightError as error:
                problem = problem_of(error)
                if problem is None:
                    raise
                await problem.response()(scope, receive, send)
                return
        await self.app(scope, receive, send)

    async def _admit(self, scope: Scope) -> None:
        """Put the caller and the operation into the request's state; raises what refuses it."""
        operation = self._operation(scope)
        state = scope.setdefault("state", {})
        state["caller"], state["operation"] = None, operation
        if operation is None or operation in UNASKED_FOR:
            return
        request = Request(scope)
        needed = operation not in OPEN
        try:
            caller = await run_in_threadpool(self._who, request)
        except KeyRefused:
            self._refuse_often(None, scope)
            if needed:
                raise
            caller = None
        except StoreError:
            if needed:
                raise
            caller = None  # what needs no key needs no store either
        else:
            self._refuse_often(caller, scope)
        if needed:
            self._refuse_role(caller, operation)
        refuse_other_sites(request, proof_needed=caller is not None and caller.way == "sign-in", by_key=_by_key(caller))
        state["caller"] = caller

    def _operation(self, scope: Scope) -> str | None:
        """Return the name of the route that will answer; None if none will. HEAD needs the rights of GET."""
        if self._routes is None:
            self._routes = tuple(iter_route_contexts(scope["app"].routes))
        for method in dict.fromkeys((scope["method"], "GET" if scope["method"] == "HEAD" else scope["method"])):
            asked = {**scope, "method": method}
            for route in self._routes:
                if route.matches(asked)[0] is Match.FULL:
                    return str(route.name)
            # A route that was added later or is of another sort: it stands in no table, so nobody may use it.
            if any(route.matches(asked)[0] is Match.FULL for route in scope["app"].routes):
                return UNLISTED
        return None

    def _who(self, request: Request) -> Caller | None:
        """Return who is asking, None if nobody known; raises KeyRefused."""
        key, token = bearer_of(request.headers), token_of(request)
        if key is not None:
            return self._access.authentication.by_key(key)
        here = self._access.authentication.without(_on_this_machine(request.scope))
        return here if here is not None or token is None else self._access.authentication.by_token(token)

    def _refuse_role(self, caller: Caller | None, operation: str) -> None:
        if caller is None:
            raise HttpProblem("no-key", self._how_to_get_in(), headers={"WWW-Authenticate": CHALLENGE})
        roles = RIGHTS.get(operation, ())
        if caller.role not in roles:
            may = f"may: {', '.join(roles)}" if roles else "nobody may"
            raise HttpProblem("role", f"{operation} is not for the role {caller.role}; {may}", more={"roles": list(roles)})

    def _how_to_get_in(self) -> str:
        if self._access.authentication.required:
            return "send `Authorization: Bearer KEY`, or sign in with a browser"
        return (
            "no key was ever made here, and without one only this machine is answered: `holdwright keys make NAME --role admin` "
            "makes the first"
        )

    def _refuse_often(self, caller: Caller | None, scope: Scope) -> None:
        """Count a request by its key, or by its address if there is none; whoever needs no key is not counted."""
        if caller is None:
            wait_s = self._access.by_address.wait_s(network_of(address_of(scope)))
        else:
            wait_s = None if caller.key is None else self._access.by_key.wait_s(caller.key)
        if wait_s is not None:
            raise HttpProblem("too-many", f"too many requests; ask again in {wait_s} s", headers={"Retry-After": str(wait_s)})


def _by_key(caller: Caller | None) -> bool:
    return caller is not None and not caller.unasked


def address_of(scope: Scope) -> str:
    """Return the address a request comes from; one that a gateway on this machine passes on comes from where that says."""
    client = scope.get("client")
    return str(client[0]) if client else "unknown"


def _on_this_machine(scope: Scope) -> bool:
    """Whether a request comes from this machine itself."""
    try:
        address = ipaddress.ip_address(address_of(scope))
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None)
    return (address if mapped is None else mapped).is_loopback
