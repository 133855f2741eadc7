"""What a view in space shows, asked of the element itself."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page


def frames(page: Page) -> int:
    """Return how many frames were drawn so far."""
    return int(page.locator("space-view").evaluate("view => view.frames"))


def at_rest(page: Page) -> int:
    """Return how many frames were drawn once no more are."""
    page.wait_for_function(
        """async () => {
          const view = document.querySelector("space-view");
          const before = view.frames;
          await new Promise((done) => setTimeout(done, 250));
          return view.frames === before;
        }"""
    )
    return frames(page)


def towards(page: Page) -> list[float]:
    """Return where one looks from, of unit length: right, up, front."""
    found: list[float] = page.locator("space-view").evaluate("({stage: {materials: {eye}}}) => [eye.x, eye.y, eye.z]")
    return found


def places(page: Page) -> dict[str, dict[str, float]]:
    """Return a place on the canvas for everything that can be seen there, by kind and id."""
    found: dict[str, dict[str, float]] = page.locator("space-view").evaluate(
        """(view) => {
          const found = {};
          for (let x = 4; x < view.canvas.clientWidth; x += 6) {
            for (let y = 4; y < view.canvas.clientHeight; y += 6) {
              const met = view.stage.at(x, y);
              if (met) (found[met.body.ref] ??= []).push({ x, y });
            }
          }
          return Object.fromEntries(Object.entries(found).map(([ref, all]) => [ref, all[Math.floor(all.length / 2)]]));
        }"""
    )
    return found


def picks(page: Page) -> list[dict[str, Any]]:
    """Return what was picked since the first call."""
    found: list[dict[str, Any]] = page.evaluate(
        """() => {
          window.picks ??= (document.addEventListener("pick", (event) => window.picks.push(event.detail)), []);
          return window.picks;
        }"""
    )
    return found


def show_all_views(page: Page) -> None:
    """Have every view in space there, which is fetched only when it comes into sight."""
    for view in page.locator("space-view").all():
        if view.is_visible():
            view.scroll_into_view_if_needed()
            page.wait_for_function("view => ['ready', 'failed'].includes(view.state)", arg=view.element_handle())
