"""A finished plan in a browser: what is picked anywhere is picked everywhere, ways are shown, what is missing is gathered."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.finished_jobs import finished_job
from tests.browser.keyboard import press
from tests.browser.visits import Visitor
from tests.service.served import OwnServer

slow = pytest.mark.slow


@slow
def test_a_piece_picked_in_a_drawing_is_picked_in_every_view_and_list(visit: Visitor, shared_server: OwnServer) -> None:
    page = visit.opened(f"{finished_job(shared_server)}/1")
    panel = page.locator("#picked")
    page.locator("#view-top [data-about='piece:p8'] path").first.click(position={"x": 3, "y": 3}, force=True)
    expect(panel).to_contain_text("8: p8, Toggle clamp")
    expect(panel).to_contain_text("pressing on lug")
    expect(page.locator("#view-side [data-about='piece:p8']").first).to_have_class("picked")
    expect(page.locator("tr[data-about='piece:p8']")).to_have_class("picked")
    expect(page.locator("space-view")).to_have_attribute("picked", "piece:p8")


@slow
def test_the_same_by_keyboard_and_what_is_missing_becomes_a_replan(visit: Visitor, shared_server: OwnServer) -> None:
    page = visit.opened(f"{finished_job(shared_server)}/1")
    press(page, page.locator("a[data-pick='piece:p1']").last)
    panel = page.locator("#picked")
    expect(panel).to_contain_text("1: p1, Pull-out dowel")
    press(page, panel.get_by_role("button", name="Not there"))
    missing = page.locator("#missing")
    expect(missing).to_contain_text("p1 (dowel-16) is not there")
    press(page, page.locator("a[data-pick='piece:p2']").last)
    expect(panel).to_contain_text("2: p2")
    press(page, panel.get_by_role("button", name="Keep this one"))
    expect(missing).to_contain_text("p2 (dowel-16) stays exactly as it stands")
    expect(missing).to_contain_text("p1 (dowel-16) is not there")
    press(page, missing.get_by_role("button", name="take back p1"))
    expect(missing).not_to_contain_text("p1 (dowel-16)")
    press(page, missing.get_by_role("button", name="Plan again"))
    page.wait_for_url("**/jobs/*", wait_until="commit")


@slow
def test_a_way_is_ghosted_in_the_drawings_and_played_in_space(visit: Visitor, shared_server: OwnServer) -> None:
    page = visit.opened(f"{finished_job(shared_server)}/1")
    page.locator("space-view").scroll_into_view_if_needed()
    expect(page.locator("space-view")).to_have_attribute("state", "ready")
    ghost = page.locator("#view-top [data-about='way:out']")
    expect(ghost).to_be_hidden()
    button = page.locator("button[data-way='out']")
    press(page, button)
    expect(ghost).to_be_visible()
    expect(button).to_have_attribute("aria-pressed", "true")
    expect(page.locator(".space-view-step")).to_contain_text("the weldment goes out")
    press(page, button)
    expect(ghost).to_be_hidden()


@slow
def test_names_with_script_do_nothing(visit: Visitor, shared_server: OwnServer) -> None:
    name = "<img src=x onerror=\"document.title='run'\"><script>document.title='run'</script>"
    address = finished_job(shared_server, name=name)
    for path in (address, f"{address}/1?pick=piece:p1", f"{address}/1/print"):
        page = visit.opened(path)
        page.wait_for_load_state()
        assert page.title() != "run" and page.locator("main img[src=x]").count() == 0
