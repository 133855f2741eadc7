"""The page in a browser, in short: some screens, and a plan in space; `.ci/slow browser` has the whole."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.axe import violations
from tests.browser.keyboard import press, tab_to
from tests.browser.made_pages import show_space_view
from tests.browser.screens import LOOKS, SHORT, address
from tests.browser.space_views import at_rest, frames, picks, places, towards
from tests.browser.visits import SIZES, Visitor
from tests.service.served import OwnServer


def test_screens_are_there_and_shut_nobody_out(visit: Visitor, shared_server: OwnServer) -> None:
    """Each in one size and one light, by turns."""
    page, found = visit.opened(""), list[str]()
    for number, name in enumerate(SHORT):
        size, scheme = LOOKS[number % len(LOOKS)]
        page.set_viewport_size(SIZES[size])
        page.emulate_media(color_scheme=scheme)
        page.goto(address(name, shared_server))
        found += [f"{name}, {size}, {scheme}: {fault}" for fault in violations(page)]
    assert not found, "\n".join(found)


def test_a_plan_is_turned_in_space_picked_from_and_played(visit: Visitor) -> None:
    page = visit.opened("", "phone")
    show_space_view(page, "gable")
    assert violations(page, "space-view") == []
    canvas, view = page.locator("space-view canvas"), page.locator("space-view")

    tab_to(page, canvas)
    home = towards(page)
    page.keyboard.press("ArrowRight")
    assert at_rest(page) > 0 and towards(page) != pytest.approx(home, abs=0.05)

    assert picks(page) == []
    canvas.click(position=places(page)["piece:p4"])  # type: ignore[arg-type]
    expect(view).to_have_attribute("picked", "piece:p4")
    assert [(each["kind"], each["id"]) for each in picks(page)] == [("piece", "p4")]

    press(page, page.get_by_role("button", name="Step"))
    press(page, page.get_by_role("button", name="Step"))
    expect(page.locator(".space-view-step")).to_have_text("left goes in: done")

    before = at_rest(page)
    page.wait_for_timeout(200)
    assert frames(page) == before
