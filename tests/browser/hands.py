"""Hands at a page: with a mouse, or at a keyboard and nowhere else."""

from __future__ import annotations

from playwright.sync_api import Locator, Page

from tests.browser.keyboard import fill, press, tab_to


class Mouse:
    """Hands at a mouse; counts what they press and what they fill in."""

    def __init__(self, page: Page) -> None:
        self.page, self.pressed, self.filled = page, 0, 0

    def press(self, wanted: Locator) -> None:
        """Press a button, a link or a choice."""
        self.pressed += 1
        wanted.click()

    def fill(self, wanted: Locator, text: str) -> None:
        """Write into a field, in place of what is there."""
        self.filled += 1
        wanted.fill(text)
        wanted.blur()


class Keys(Mouse):
    """Hands at a keyboard, and nowhere else."""

    def press(self, wanted: Locator) -> None:
        """Come to a button, a link or a choice, and press it."""
        self.pressed += 1
        press(self.page, wanted, "Space" if wanted.get_attribute("type") in ("radio", "checkbox") else "Enter")

    def fill(self, wanted: Locator, text: str) -> None:
        """Come to a field and type."""
        self.filled += 1
        if wanted.get_attribute("type") == "date":
            # Chromium has a stop for each part of a date; which comes first is the language's choice: en-US here.
            tab_to(self.page, wanted)
            year, month, day = text.split("-")
            self.page.keyboard.type(f"{month}{day}{year}")
        else:
            fill(self.page, wanted, text)
            self.page.keyboard.press("Tab")
