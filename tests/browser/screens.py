"""Every screen of the page, for tests that go over all of them: add a line for each new one.

A screen is an address, or a function that prepares the shared server of the demo shop and returns one; it leaves the stock as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

from tests.browser.finished_jobs import finished_job
from tests.browser.visits import SCHEMES, SIZES, Scheme, Size
from tests.service.served import OwnServer

Screen = str | Callable[[OwnServer], str]
SCREENS: Mapping[str, Screen] = {
    "jobs": "/",
    "settings": "/settings",
    "sign in": "/sign-in",
    "nothing there": "/no/such/screen",
    "reference": "/docs",
    "alternatives": lambda server: finished_job(server, dear=True),
    "a re-plan": lambda server: finished_job(server, "tee-again"),
    "one alternative": lambda server: f"{finished_job(server)}/1",
    "a picked piece": lambda server: f"{finished_job(server)}/1?pick=piece:p8&entry=broken:p1&shown=all",
    "print": lambda server: f"{finished_job(server)}/1/print",
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
