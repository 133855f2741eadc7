"""The screen on which a browser signs in by a key, and out again."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from service.access.sign_in import sign_out
from service.errors import KeyRefused
from service.http.dependencies import AccessHere, ContextHere
from service.http.guard.credentials import token_of
from service.http.routes.access.sign_in import forget_sign_in, keep_sign_in, signed_in_by
from service.http.writes import asked_of
from service.page.forms import Form, FormHere
from service.page.frame import lead_to, page

router = APIRouter(include_in_schema=False)
Next = Annotated[str, Query(max_length=2000)]


@router.get("/sign-in")
def show_sign_in(request: Request, access: AccessHere, next: Next = "/") -> Response:
    """Show the screen."""
    return _screen(request, access, Form({}), next)


@router.post("/sign-in")
def sign_in_here(request: Request, access: AccessHere, here: ContextHere, form: FormHere) -> Response:
    """Sign in by the key in the form, and go on to where the browser wanted to be."""
    settings, wanted = here.planning.settings, form.raw("next", "/")
    key = form.text("key", "an API key, which begins with hw_", needed=True)
    if not form.faults:
        try:
            _, made = signed_in_by(request, access, settings.sign_in_hours, lambda: key)
        except KeyRefused as refused:
            form.fault("key", str(refused), "a key of this server; whoever runs it makes keys")
        else:
            response = lead_to(request, _of_this_server(wanted))
            keep_sign_in(request, response, made, settings.https)
            return response
    return _screen(request, access, form, wanted, 422)


@router.post("/sign-out")
def sign_out_here(request: Request, access: AccessHere, here: ContextHere) -> Response:
    """Sign out."""
    token = token_of(request)
    if token is not None:
        sign_out(access.sign_ins, token, asked_of(request))
    response = lead_to(request, "/sign-in")
    forget_sign_in(request, response, here.planning.settings.https)
    return response


def _screen(request: Request, access: AccessHere, form: Form, wanted: str, status: int = 200) -> Response:
    needed = access.authentication.look_up_required()
    return page(request, "sign_in.html", status=status, form=form, next=_of_this_server(wanted), keys_made=needed)


def _of_this_server(address: str) -> str:
    """Return an address of this server; what could lead to another one leads to the first page."""
    plain = address.startswith("/") and not address.startswith(("//", "/\\")) and address.isprintable()
    return address if plain and "\\" not in address else "/"
