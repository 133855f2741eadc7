"""The whole story in a browser, with real solves: described by hand, planned, compared, reserved, printed, a piece missing, planned
again, the kit back, recounted. Once with the mouse, once by the keyboard alone, at every size.
"""

from __future__ import annotations

import re
import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.hands import Keys, Mouse
from tests.browser.visits import SIZES, Size, Visitor, visitor
from tests.service.served import OwnServer

pytestmark = pytest.mark.slow
SOLVED_MS = 120_000


@pytest.fixture
def planner(browser: Browser, server: OwnServer) -> Iterator[Visitor]:
    """Whoever visits a server whose stock may be changed."""
    with visitor(browser, str(server.door.base_url)) as found:
        yield found


def answered(page: Page) -> None:
    """Wait until a plan is there."""
    page.wait_for_url("**/jobs/*")
    expect(page.get_by_role("link", name="Print, reserve").first).to_be_visible(timeout=SOLVED_MS)


def described(page: Page, at: Mouse) -> None:
    """Describe a tab on a tube, from the list of jobs on."""
    at.press(page.get_by_role("link", name="New weldment").first)
    at.press(page.get_by_role("button", name="Empty, in mm"))
    at.press(page.get_by_role("button", name="Add the first part"))
    at.press(page.get_by_role("link", name="Add a part", exact=True))
    at.press(page.get_by_role("link", name="plate", exact=True))
    expect(page.get_by_role("textbox", name="Long")).to_be_visible()
    at.press(page.get_by_role("button", name="Add it"))
    at.press(page.get_by_role("button", name="Weld 2 fillets"))
    expect(page.locator("#pick-weld-1")).to_be_visible()


@pytest.mark.parametrize("hands", [Mouse, Keys])
@pytest.mark.parametrize("size", SIZES)
def test_from_an_empty_page_to_a_kit_that_is_back(planner: Visitor, server: OwnServer, hands: type[Mouse], size: Size) -> None:
    page = planner.opened("/", size)
    at = hands(page)
    described(page, at)
    at.fill(page.get_by_label("Name of the weldment"), "tab on tube")
    at.press(page.get_by_role("link", name="Ask for a fixture"))
    at.fill(page.get_by_label("Weldments"), "40")
    at.press(page.get_by_role("button", name="Plan it"))
    answered(page)

    # compared, and looked at
    at.press(page.get_by_role("link", name="Look at it").first)
    expect(page.get_by_role("heading", name="Pieces, in the order they are placed")).to_be_visible()
    first = page.url

    # reserved and printed
    at.press(page.get_by_role("link", name="Print, reserve"))
    with page.expect_request(re.compile("format=pdf")) as sheet:
        at.press(page.get_by_role("link", name="Setup sheet, PDF"))
    answer = server.door.get(sheet.value.url)
    page.wait_for_url(re.compile("format=pdf"), wait_until="commit")
    assert answer.content.startswith(b"%PDF")
    page.goto(f"{first}/print")
    at.press(page.get_by_role("link", name="Reserve the kit"))
    at.fill(page.get_by_label("Signed by"), "Ute")
    at.press(page.get_by_role("button", name="Reserve", exact=True))
    expect(page.get_by_role("status")).to_contain_text("reserved now")
    at.press(page.get_by_role("button", name="Hand the kit out"))
    expect(page.get_by_role("status")).to_contain_text("on the table now")
    reservation = page.url.partition("?")[0]

    # a piece is missing: the plan is changed as little as possible
    page.goto(first)
    at.press(page.locator("a[data-pick='piece:p1']").last)
    expect(page.locator("#picked h2")).to_contain_text("p1")
    at.press(page.locator("#picked").get_by_role("button", name="Not there"))
    expect(page.locator("#missing")).to_contain_text("p1")
    at.press(page.locator("#missing").get_by_role("button", name="Plan again"))
    page.wait_for_url(lambda address: address.partition("?")[0] not in (first, first.rpartition("/")[0]))
    answered(page)
    expect(page.get_by_role("heading", name=re.compile("[Cc]hange"))).to_be_visible()

    # the kit comes back, and what is there is counted
    page.goto(reservation)
    at.press(page.get_by_role("button", name="Take the pieces back"))
    expect(page.get_by_role("status")).to_contain_text("returned now")
    page.goto("/store/items/stop-25-15")
    form = page.locator("form", has=page.get_by_role("button", name="Write the count down"))
    at.fill(form.get_by_label("Counted"), "9")
    at.fill(form.get_by_label("Signed by"), "Ute")
    at.press(form.get_by_role("button", name="Write the count down"))
    expect(page.get_by_role("status")).to_contain_text("9 counted")


def test_a_newcomers_tab_on_a_tube_takes_eleven_clicks_and_less_than_three_minutes(planner: Visitor) -> None:
    """From the list of jobs to the printed sheet, at a person's pace: two seconds for every click, to see it and to decide."""
    page = planner.opened("/")
    at = Mouse(page)
    began = time.monotonic()
    described(page, at)
    at.press(page.get_by_role("link", name="Ask for a fixture"))
    at.press(page.get_by_role("button", name="Plan it"))
    answered(page)
    at.press(page.get_by_role("link", name="Print, reserve").first)
    with page.expect_request(re.compile("format=pdf")):
        at.press(page.get_by_role("link", name="Setup sheet, PDF"))
    assert (at.pressed, at.filled) == (11, 0)
    assert time.monotonic() - began + 2 * at.pressed < 180
