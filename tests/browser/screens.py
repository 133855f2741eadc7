"""Every screen of the page, for tests that go over all of them: add a line for each new one.

A screen is an address, or a function that prepares the shared server of the demo shop and returns one; it leaves the stock as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

from tests.browser.visits import SCHEMES, SIZES, Scheme, Size
from tests.service.served import OwnServer


def draft_of(server: OwnServer, form: Mapping[str, str]) -> str:
    """Begin a draft on a server and return its address."""
    headers = {"Sec-Fetch-Site": "same-origin", "Accept": "text/html"}
    return str(server.door.post("/weldments", data=dict(form), headers=headers).headers["Location"])


Screen = str | Callable[[OwnServer], str]
SCREENS: Mapping[str, Screen] = {
    "jobs": "/",
    "new weldment": "/weldments",
    "first part": lambda server: draft_of(server, {"from": "blank", "units": "mm"}),
    "describe": lambda server: draft_of(server, {"from": "example", "example": "braced-frame"}) + "?chosen=part:5",
    "describe a weld": lambda server: draft_of(server, {"from": "example", "example": "hinge-lug"}) + "?chosen=weld:0",
    "settings": "/settings",
    "sign in": "/sign-in",
    "nothing there": "/no/such/screen",
    "reference": "/docs",
}
"""Every screen by its name."""
LONG = {"reference"}
"""What takes axe-core seconds: looked at by the long suite alone."""
LOOKS: tuple[tuple[Size, Scheme], ...] = tuple((size, scheme) for size in SIZES for scheme in SCHEMES)
"""Every size in every light."""


@cache
def address(name: str, server: OwnServer) -> str:
    """Return where a screen is on a server, prepared once."""
    screen = SCREENS[name]
    return screen if isinstance(screen, str) else screen(server)
