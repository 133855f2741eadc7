"""A page by keyboard alone: how one comes to something, and what one meets on the way."""

from __future__ import annotations

from dataclasses import dataclass

from playwright.sync_api import Locator, Page

MOST_TABS = 400

_WHERE = """() => {
  const at = document.activeElement;
  if (!at || at === document.body || at === document.documentElement) return null;
  const box = at.getBoundingClientRect();
  const style = getComputedStyle(at);
  const ringed = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0;
  const name = at.getAttribute("aria-label") || at.labels?.[0]?.textContent || at.textContent.trim() || at.querySelector("img")?.alt || at.value || at.title || "";
  window.__tabbed ??= new Map();
  if (!window.__tabbed.has(at)) window.__tabbed.set(at, window.__tabbed.size);
  return {
    number: window.__tabbed.get(at),
    what: `${at.tagName.toLowerCase()} ${JSON.stringify(name.trim().replace(/\\s+/g, " ").slice(0, 100))}`,
    ringed,
    seen: box.width > 0 && box.height > 0 && box.right > 0 && box.left < innerWidth && box.bottom > 0 && box.top < innerHeight,
  };
}"""


@dataclass(frozen=True)
class Stop:
    """One place where the focus stops: what it is, whether it shows its focus, whether it is in sight."""

    number: int
    what: str
    ringed: bool
    seen: bool


def stops(page: Page, key: str = "Tab") -> list[Stop]:
    """Return where the focus stops, pressing a key until it has gone once round; raises AssertionError if it does not."""
    page.evaluate("() => { window.__tabbed = new Map(); document.activeElement?.blur(); }")
    found: list[Stop] = []
    for _ in range(MOST_TABS):
        page.keyboard.press(key)
        at = page.evaluate(_WHERE)
        if at is None or (found and at["number"] == found[0].number):
            if found:
                return found
            continue
        stop = Stop(**at)
        if found and stop.number == found[-1].number:  # a date has a stop each for its day, month and year
            continue
        assert not found or stop.number > found[-1].number, f"{key} is caught between {found[-1].what} and {stop.what}"
        found.append(stop)
    raise AssertionError(f"{MOST_TABS} times {key} and not round: last was {found[-1].what if found else 'nothing'}")


def tab_to(page: Page, wanted: Locator, key: str = "Tab") -> Locator:
    """Press Tab until the focus is on an element, and return it; raises AssertionError if it does not come there."""
    for _ in range(MOST_TABS):
        if wanted.evaluate("element => element === document.activeElement"):
            return wanted
        page.keyboard.press(key)
    raise AssertionError(f"the keyboard does not reach {wanted}")


def press(page: Page, wanted: Locator, key: str = "Enter") -> None:
    """Come to a button or link by Tab and press Enter on it."""
    tab_to(page, wanted)
    page.keyboard.press(key)


def fill(page: Page, wanted: Locator, text: str) -> None:
    """Come to a field by Tab, take out what is there and type."""
    tab_to(page, wanted)
    page.keyboard.press("Control+A")
    page.keyboard.press("Delete")
    page.keyboard.type(text)
