"""A tab on a tube described from the empty page: by mouse, by keyboard alone, by two people at once."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.axe import violations
from tests.browser.keyboard import fill, press, tab_to
from tests.browser.visits import SIZES, Size, Visitor

pytestmark = pytest.mark.slow


class Clicks:
    """Counts what a newcomer clicks and types in."""

    def __init__(self, page: Page) -> None:
        self.page, self.clicks, self.fields = page, 0, 0

    def click(self, wanted: Locator) -> None:
        wanted.click()
        self.clicks += 1

    def fill(self, wanted: Locator, text: str) -> None:
        wanted.fill(text)
        wanted.blur()
        self.fields += 1


def of(page: Page, kind: str) -> Locator:
    """Return what is drawn from above of parts, welds or seams."""
    return page.locator(f"#view-above g[data-about^='{kind}:']:not([id*=name])")


def test_a_tab_on_a_tube_by_mouse_takes_few_clicks(visit: Visitor) -> None:
    page = visit.opened("/weldments")
    hand = Clicks(page)
    hand.click(page.get_by_role("button", name="Empty, in mm"))
    hand.fill(page.get_by_role("textbox", name="Length"), "400")
    hand.click(page.get_by_role("button", name="Add the first part"))
    hand.click(page.get_by_role("link", name="Add a part", exact=True))
    hand.click(page.get_by_role("link", name="plate", exact=True))
    hand.fill(page.get_by_role("textbox", name="Long"), "80")
    hand.click(page.get_by_role("button", name="Add it"))
    expect(of(page, "seam")).to_have_count(4)
    hand.click(page.get_by_role("button", name="Weld 2 fillets"))
    expect(of(page, "weld")).to_have_count(2)
    expect(page.get_by_role("link", name="Ask for a fixture")).to_be_visible()
    assert (hand.clicks, hand.fields) == (6, 2)
    assert violations(page) == []


def test_what_is_drawn_is_picked_and_seams_are_welded_by_a_click(visit: Visitor) -> None:
    page = visit.opened("/weldments")
    page.get_by_role("button", name="Empty, in mm").click()
    page.get_by_role("button", name="Add the first part").click()
    page.get_by_role("link", name="Add a part", exact=True).click()
    page.get_by_role("link", name="plate", exact=True).click()
    expect(page.get_by_role("textbox", name="Long")).to_be_visible()
    page.get_by_role("button", name="Add it").click()
    expect(of(page, "seam")).to_have_count(4)
    page.locator("#view-front g[data-about='seam:1'] path").first.click(force=True)
    expect(of(page, "weld")).to_have_count(1)
    page.locator("#view-above-part-0 path").click(position={"x": 10, "y": 10})
    expect(page.locator("#panel-heading")).to_contain_text("tube")
    page.locator("#view-above g[data-about='part:1'][id*=name]").click()
    expect(page.locator("#panel-heading")).to_contain_text("plate")


def test_a_tab_on_a_tube_by_keyboard_alone(visit: Visitor) -> None:
    page = visit.opened("/weldments")
    press(page, page.get_by_role("button", name="Empty, in mm"))
    page.wait_for_url("**/weldments/*")
    fill(page, page.get_by_role("textbox", name="Length"), "400")
    press(page, page.get_by_role("button", name="Add the first part"))
    expect(of(page, "part")).to_have_count(1)
    press(page, page.get_by_role("link", name="Add another part"))
    expect(page.locator("#panel-heading")).to_have_text("Add a part")
    press(page, page.get_by_role("link", name="plate", exact=True))
    expect(page.get_by_role("textbox", name="Long")).to_be_visible()
    press(page, page.get_by_role("button", name="Add it"))
    expect(of(page, "seam")).to_have_count(4)
    expect(page.locator("#panel-heading")).to_be_focused()
    press(page, page.get_by_role("button", name="Weld all 4"), "Space")
    expect(of(page, "weld")).to_have_count(4)
    press(page, page.locator("#pick-weld-2"))
    fill(page, page.get_by_role("textbox", name="Size"), "4,5")
    page.keyboard.press("Tab")
    expect(page.locator("#pick-weld-2")).to_contain_text("leg 4.5 mm")
    page.keyboard.press("Control+z")
    expect(page.locator("#pick-weld-2")).to_contain_text("leg 3 mm")
    expect(page.locator("#status")).to_have_text("undo of: changed w3")
    page.keyboard.press("Control+y")
    expect(page.locator("#pick-weld-2")).to_contain_text("leg 4.5 mm")


def test_what_is_typed_while_an_answer_is_on_its_way_stays_and_is_sent(visit: Visitor) -> None:
    page = visit.opened("/weldments")
    page.get_by_role("button", name="Empty, in mm").click()
    page.get_by_role("button", name="Add the first part").click()
    page.get_by_role("link", name="Add a part", exact=True).click()
    page.get_by_role("link", name="plate", exact=True).click()
    expect(page.get_by_role("textbox", name="Long")).to_be_visible()
    page.get_by_role("button", name="Add it").click()
    fill(page, page.locator("#change-part-long"), "120")
    for text in ("70", "10"):  # the next fields, at once
        page.keyboard.press("Tab")
        page.keyboard.press("Control+A")
        page.keyboard.type(text)
    page.keyboard.press("Tab")
    expect(page.locator("#pick-part-1")).to_contain_text("120 mm x 70 mm x 10 mm")
    assert [page.locator(f"#change-part-{name}").input_value() for name in ("long", "wide", "thickness")] == ["120", "70", "10"]


def test_what_cannot_be_read_stays_with_its_fault_and_the_next_edit_goes_on(visit: Visitor) -> None:
    page = visit.opened("/weldments")
    page.get_by_role("button", name="Empty, in inches").click()
    fill(page, page.get_by_role("textbox", name="Length"), "two feet")
    press(page, page.get_by_role("button", name="Add the first part"))
    expect(page.get_by_role("textbox", name="Length")).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_role("textbox", name="Length")).to_have_value("two feet")
    assert violations(page) == []
    fill(page, page.get_by_role("textbox", name="Length"), "23 1/2")
    press(page, page.get_by_role("button", name="Add the first part"))
    expect(page.locator("#pick-part-0")).to_contain_text("23.500 in long")


def test_two_people_at_one_draft_lose_nothing(visit: Visitor) -> None:
    mine = visit.opened("/weldments")
    mine.get_by_role("button", name="Empty, in mm").click()
    mine.get_by_role("button", name="Add the first part").click()
    expect(of(mine, "part")).to_have_count(1)
    theirs = visit.opened(mine.url.partition("?")[0])
    theirs.get_by_label("Name of the weldment").fill("gate")
    theirs.get_by_label("Name of the weldment").blur()
    expect(theirs.locator("#status")).to_have_text("named the weldment")
    mine.get_by_role("textbox", name="Length").fill("300")
    mine.get_by_role("textbox", name="Length").blur()
    expect(mine.get_by_role("alert").filter(has_text="Somebody else")).to_be_visible()
    expect(mine.get_by_label("Name of the weldment")).to_have_value("gate")
    expect(mine.locator("#pick-part-0")).to_contain_text("500 mm long")
    mine.get_by_role("textbox", name="Length").fill("300")
    mine.get_by_role("textbox", name="Length").blur()
    expect(mine.locator("#pick-part-0")).to_contain_text("300 mm long")


@pytest.mark.parametrize("size", SIZES)
def test_a_part_in_space_is_picked(visit: Visitor, size: Size) -> None:
    page = visit.opened("/weldments", size)
    page.get_by_role("button", name="Start from it").first.click()
    view = page.locator("#space")
    view.scroll_into_view_if_needed()
    expect(view).to_have_attribute("state", "ready")
    tab_to(page, page.locator("#pick-part-1"))
    page.keyboard.press("Enter")
    expect(view).to_have_attribute("picked", "part:lug")
