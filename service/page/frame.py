"""The frame round every screen: templates, who is asking, what it may do, how its browser likes things, what pages may load."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from service.access.caller import Caller
from service.access.rights import OPEN, RIGHTS
from service.http.dependencies import caller_if_known, context_of
from service.page.preferences import Preferences
from service.page.static_files import static_files
from service.page.wording import FILTERS
from service.release import release
from service.text import length
from solver.weldment import LengthUnit

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""What a page may load, run and send to (W3C, Content Security Policy Level 3): its own server's, nothing written into it."""
HEADERS = {"Content-Security-Policy": POLICY, "Cache-Control": "no-store", "Vary": "HX-Request"}
SCREENS = (
    ("/", "Jobs", "show_jobs"),
    ("/weldments", "New weldment", "show_starts"),
    ("/store", "Store", "show_store"),
    ("/rules", "Rules", "show_rules"),
)
"""What the page leads to from everywhere: address, name, operation."""


@dataclass(frozen=True, slots=True)
class Frame:
    """What every template knows of whoever looks at it."""

    path: str
    caller: Caller | None
    likes: Preferences
    store: bool
    """Whether the server keeps a store; one that plans from a file does not."""
    currency: str

    @classmethod
    def of(cls, request: Request) -> Frame:
        """Return the frame of one request."""
        context = context_of(request)
        return cls(
            request.url.path,
            caller_if_known(request),
            Preferences.of(request),
            context.store is not None,
            context.planning.settings.currency,
        )

    def may(self, operation: str) -> bool:
        """Whether whoever asks may do something; nobody may do what no table lists."""
        if operation in OPEN:
            return True
        roles = RIGHTS.get(operation, ())
        return self.caller is not None and self.caller.role in roles

    @property
    def signs(self) -> str:
        """Who signs for changes: the API key's name, or the name this browser was told."""
        return (self.caller.signs_as if self.caller is not None else None) or self.likes.name

    def units(self, drawn: LengthUnit) -> LengthUnit:
        """Return the unit to show lengths in of something that was drawn in `drawn`."""
        return drawn if self.likes.units == "drawn" else self.likes.units

    def length(self, mm: float, drawn: LengthUnit = "mm") -> str:
        """Return a length with its unit."""
        return length(mm, self.units(drawn))


@cache
def environment() -> Environment:
    """Return the templates; everything they show is escaped, and a name they do not know is a mistake."""
    made = Environment(
        loader=PackageLoader("service.page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters.update(FILTERS)
    made.globals.update(static=static_files().address, release=release(), SCREENS=SCREENS, token=_token)
    return made


def _token() -> str:
    return secrets.token_urlsafe(12)


def rendered(request: Request, template: str, values: Mapping[str, Any], block: str | None = None) -> str:
    """Return a template's text, or that of one of its blocks alone."""
    found = environment().get_template(template)
    frame = Frame.of(request)
    context = {"frame": frame, "fragment": block is not None, **values}
    if block is None:
        return found.render(context)
    made = found.new_context(context)
    part: Callable[..., Any] = found.blocks[block]
    return "".join(part(made))


def page(
    request: Request,
    template: str,
    *,
    block: str | None = None,
    status: int = 200,
    headers: Mapping[str, str] | None = None,
    **values: Any,
) -> Response:
    """Return a screen; where htmx asks for a fragment and `block` is given, that block of it alone."""
    asked = block if is_fragment(request) else None
    return HTMLResponse(rendered(request, template, values, asked), status, {**HEADERS, **(headers or {})})


def is_fragment(request: Request) -> bool:
    """Whether the page's script asks, and wants a part of a page."""
    return request.headers.get("hx-request") == "true" and request.headers.get("hx-boosted") != "true"


def lead_to(request: Request, address: str) -> Response:
    """Lead the browser on to an address of this server, after a form that did what it should."""
    if is_fragment(request):
        return Response(status_code=204, headers={"HX-Redirect": address, **HEADERS})
    return RedirectResponse(address, 303, HEADERS)
