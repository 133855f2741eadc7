"""Signing in and out with a browser, and who is asking."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from service.access.access import Access
from service.access.caller import Caller
from service.access.rates import network_of
from service.access.sign_in import SignedIn
from service.access.sign_in import sign_in as signed_in
from service.access.sign_in import sign_out as signed_out
from service.documents.access.callers import CallerDocument, SignInBody
from service.documents.stockroom.body import read_body_as
from service.errors import KeyRefused
from service.http.dependencies import AccessHere, CallerHere, ContextHere
from service.http.guard.body import read_body
from service.http.guard.credentials import COOKIE, token_of
from service.http.guard.entrance import address_of
from service.http.problems import HttpProblem
from service.http.reference.routes import answers, takes
from service.http.replies import Reply, answered
from service.http.writes import asked_of

router = APIRouter(tags=["access"])
_BODY = {"key": "hw_5f0c91de_..."}


@router.get("/v1/me", summary="Who is asking", responses=answers(200, model=CallerDocument))
async def who_am_i(caller: CallerHere) -> Response:
    """Return the name and the role of the key that asks."""
    return await answered(lambda: _shown(caller))


@router.post(
    "/v1/sign-in",
    summary="Sign in",
    responses=answers(200, model=CallerDocument, problems=("no-key",)),
    openapi_extra=takes(SignInBody, _BODY),
)
async def sign_in(request: Request, access: AccessHere, here: ContextHere) -> Response:
    """Sign a browser in by a key: the answer sets a cookie that stands for the key, which no script can read."""
    settings = here.planning.settings
    raw = await read_body(request, settings)
    caller, made = await run_in_threadpool(
        lambda: signed_in_by(request, access, settings.sign_in_hours, lambda: read_body_as(SignInBody, raw).key)
    )
    response = await answered(lambda: _shown(caller, made))
    keep_sign_in(request, response, made, settings.https)
    return response


@router.post("/v1/sign-out", summary="Sign out", status_code=204, responses=answers(204))
async def sign_out(request: Request, access: AccessHere, here: ContextHere) -> Response:
    """Let the cookie of a sign-in stand for nothing any more; nothing happens without one."""
    token = token_of(request)
    if token is not None:
        await run_in_threadpool(signed_out, access.sign_ins, token, asked_of(request))
    response = await answered(lambda: Reply(None, 204))
    forget_sign_in(request, response, here.planning.settings.https)
    return response


def signed_in_by(request: Request, access: Access, hours: float, key: Callable[[], str]) -> tuple[Caller, SignedIn]:
    """Sign a browser in by the key it sends, for so many hours.

    Raises
    ------
    KeyRefused
        The key opens nothing; that is counted.
    Problem
        ``too-many`` failed from there.
    """
    address = network_of(address_of(request.scope))
    wait_s = access.failed_sign_ins.full_s(address)
    if wait_s is not None:
        detail = f"too many sign-ins from there have failed; try again in {wait_s} s"
        raise HttpProblem("too-many", detail, headers={"Retry-After": str(wait_s)})
    caller = _holder(access, key(), address)
    return caller, signed_in(access.sign_ins, caller, hours, asked_of(request, caller))


def keep_sign_in(request: Request, response: Response, made: SignedIn, https: int) -> None:
    """Have the browser send a sign-in's token from now on; no script can read it."""
    secure = secure_only(request, https)
    response.set_cookie(
        COOKIE, made.token, path="/", httponly=True, samesite="strict", expires=made.expires_at, secure=secure
    )  # fmt: skip


def forget_sign_in(request: Request, response: Response, https: int) -> None:
    """Have the browser forget its sign-in."""
    response.delete_cookie(COOKIE, path="/", httponly=True, samesite="strict", secure=secure_only(request, https))


def _holder(access: Access, key: str, address: str) -> Caller:
    """Return whose key it is; one that opens nothing counts as a failed sign-in."""
    try:
        return access.authentication.by_key(key)
    except KeyRefused:
        access.failed_sign_ins.wait_s(address)
        raise


def _shown(caller: Caller, made: SignedIn | None = None) -> Reply:
    document = CallerDocument.model_validate(caller)
    if made is not None:
        document = document.model_copy(update={"way": "sign-in", "expires_at": made.expires_at})
    return Reply(document.model_dump(mode="json"))


def secure_only(request: Request, https: int) -> bool:
    """Whether the cookie is for https alone; a gateway on this machine says by X-Forwarded-Proto what its browser uses."""
    return bool(https) or request.url.scheme == "https"
