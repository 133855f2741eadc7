"""Pages as they are visited in tests: watched from the first request to the last, at the sizes and in the light that people have."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Literal
from urllib.parse import urlsplit

from playwright.sync_api import Browser, ConsoleMessage, Page, Request, Response, ViewportSize

Size = Literal["laptop", "tablet", "phone"]
Scheme = Literal["light", "dark"]
SIZES: Mapping[Size, ViewportSize] = {
    "laptop": {"width": 1280, "height": 800},
    "tablet": {"width": 800, "height": 1280},
    "phone": {"width": 390, "height": 844},
}
SCHEMES: tuple[Scheme, ...] = ("light", "dark")
PATIENCE_MS = 30_000
"""How long a page is waited for: long, since other tests take the processor meanwhile."""
_BROWSERS_OWN = ("data", "blob", "chrome", "chrome-extension")
"""Schemes of what comes from no host: the browser shows a PDF by a page of its own."""
_REFUSED = "Failed to load resource: the server responded with a status of 4"
"""What the browser writes by itself where a form was refused: such answers are looked at by their status."""


@dataclass
class Watch:
    """What went wrong on a page meanwhile.

    Parameters
    ----------
    host : str
        The only host and port that may be asked for anything.
    expected : set of str
        Beginnings of what is no fault here, such as ``error: Failed to load``.
    """

    host: str
    expected: set[str] = field(default_factory=set)
    found: list[str] = field(default_factory=list)

    def note(self, fault: str) -> None:
        """Take down a fault, unless it is expected."""
        if not any(fault.startswith(each) for each in self.expected):
            self.found.append(fault)

    def on(self, page: Page) -> None:
        """Watch a page from now on."""
        page.on("console", self._heard)
        page.on("pageerror", lambda error: self.note(f"error in a script: {error}"))
        page.on("request", self._asked)
        page.on("response", self._answered)

    def _heard(self, message: ConsoleMessage) -> None:
        if message.type == "error" and not message.text.startswith(_REFUSED):
            self.note(f"error: {message.text} ({message.location.get('url', '')})")

    def _asked(self, request: Request) -> None:
        address = urlsplit(request.url)
        if address.scheme not in _BROWSERS_OWN and address.netloc != self.host:
            self.note(f"another host was asked: {request.url}")

    def _answered(self, response: Response) -> None:
        missing = response.status == 404 and response.request.resource_type != "document"
        if response.status >= 500 or missing:
            self.note(f"{response.status} for {response.request.method} {response.url}")


@dataclass
class Visitor:
    """Opens pages of one server; each is watched until its test ends."""

    browser: Browser
    address: str
    watches: list[Watch] = field(default_factory=list)

    def opened(
        self, path: str, size: Size = "laptop", scheme: Scheme = "light", *, expected: set[str] | None = None, calm: bool = True
    ) -> Page:
        """Return a page in a browser of its own: no cookies, no memory of others.

        Parameters
        ----------
        path : str
            From the server's root; "" opens none yet.
        expected : set of str
            Beginnings of faults that are none here, see Watch.
        calm : bool
            Whether this visitor wants reduced motion.
        """
        context = self.browser.new_context(
            base_url=self.address, viewport=SIZES[size], color_scheme=scheme, has_touch=size != "laptop",
            reduced_motion="reduce" if calm else "no-preference",
        )  # fmt: skip
        context.set_default_timeout(PATIENCE_MS)
        page = context.new_page()
        watch = Watch(urlsplit(self.address).netloc, expected or set())
        self.watches.append(watch)
        watch.on(page)
        if path:
            page.goto(path)
        return page

    def leave(self) -> None:
        """Close every page and tell what went wrong on them; raises AssertionError."""
        for context in self.browser.contexts:
            context.close()
        found = [fault for watch in self.watches for fault in watch.found]
        self.watches.clear()
        assert not found, "\n".join(found)


@contextmanager
def visitor(browser: Browser, address: str) -> Iterator[Visitor]:
    """Visit a server; what went wrong on any page fails the test at its end."""
    found = Visitor(browser, address)
    try:
        yield found
    finally:
        found.leave()
