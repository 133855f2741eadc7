"""The screen on which a browser is told how it likes pages: light or dark, millimetres or inches, whose name signs."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from service.http.dependencies import ContextHere
from service.http.routes.access.sign_in import secure_only
from service.page.forms import Form, FormHere
from service.page.frame import lead_to, page
from service.page.preferences import THEMES, UNITS, Preferences

router = APIRouter(include_in_schema=False)


@router.get("/settings")
def show_settings(request: Request) -> Response:
    """Show what this browser likes."""
    return page(request, "settings.html", form=Form({}), likes=Preferences.of(request), themes=THEMES, units=UNITS)


@router.post("/settings")
def keep_settings(request: Request, here: ContextHere, form: FormHere) -> Response:
    """Remember what this browser likes from now on."""
    before = Preferences.of(request)
    likes = Preferences(
        form.choice("theme", THEMES, before.theme),
        form.choice("units", UNITS, before.units),
        form.text("name", "a name of at most 200 characters") if "name" in form else before.name,
    )
    if form.faults:
        return page(request, "settings.html", status=422, form=form, likes=likes, themes=THEMES, units=UNITS)
    response = lead_to(request, "/settings")
    likes.keep(response, secure=secure_only(request, here.planning.settings.https))
    return response
