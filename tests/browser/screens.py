"""Every screen of the page, for tests that go over all of them: add a line for each new one.

A screen is an address, or a function that prepares the shared server of the demo shop and returns one; it leaves the stock as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

from tests.browser.visits import SCHEMES, SIZES, Scheme, Size
from tests.service.served import OwnServer

Screen = str | Callable[[OwnServer], str]
SCREENS: Mapping[str, Screen] = {
    "jobs": "/",
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
