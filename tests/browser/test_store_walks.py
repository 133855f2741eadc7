"""The storekeeper's day in a browser: reserve, hand out, take back with broken and missing pieces, recount, take a list in.

Once with the mouse, once by the keyboard alone, at every size.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.axe import violations
from tests.browser.hands import Keys, Mouse
from tests.browser.visits import Size, Visitor, visitor
from tests.service.served import OwnServer

slow = pytest.mark.slow
STOP, PIN = "/store/items/stop-25-15", "/store/items/pin-20"


@pytest.fixture
def storekeeper(browser: Browser, server: OwnServer) -> Iterator[Visitor]:
    """Whoever visits a server whose stock may be changed."""
    with visitor(browser, str(server.door.base_url)) as found:
        yield found


def line(server: OwnServer, item: str) -> dict[str, int]:
    return dict(server.door.get(f"/v1/stock/{item}").json())


@slow
@pytest.mark.parametrize(("hands", "size"), [(Mouse, "laptop"), (Keys, "laptop"), (Mouse, "tablet"), (Mouse, "phone")])
def test_a_kit_is_reserved_handed_out_and_comes_back_with_one_broken_and_one_missing(
    storekeeper: Visitor, server: OwnServer, hands: type[Mouse], size: Size
) -> None:
    page = storekeeper.opened("/store/reservations", size)
    at, stop, pin = hands(page), line(server, "stop-25-15"), line(server, "pin-20")
    at.press(page.get_by_role("link", name="Reserve pieces"))
    at.fill(page.get_by_label("Job"), "hinge posts")
    at.fill(page.get_by_label("to", exact=True), (date.today() + timedelta(days=2)).isoformat())
    for row, (item, pieces) in enumerate((("stop-25-15", "900"), ("pin-20", "2")), 1):
        at.fill(page.get_by_label(f"item, line {row}"), item)
        at.fill(page.get_by_label(f"pieces, line {row}"), pieces)
    at.fill(page.get_by_label("Signed by"), "Ute")
    at.press(page.get_by_role("button", name="Reserve"))
    expect(page.locator("#refused")).to_contain_text("too few pieces are free")
    expect(page.locator("#refused")).to_contain_text("900")
    expect(page.locator("#refused")).to_be_focused()
    assert violations(page, "#order") == []

    at.fill(page.get_by_label("pieces, line 1"), "4")
    at.press(page.get_by_role("button", name="Reserve"))
    expect(page.get_by_role("heading", level=1)).to_contain_text("hinge posts")
    expect(page.get_by_role("status")).to_contain_text("reserved now")

    at.press(page.get_by_role("button", name="Hand the kit out"))
    expect(page.get_by_role("status")).to_contain_text("on the table now")
    at.fill(page.get_by_label(re.compile("^broken: Low stop, 25 high, face 15")), "1")
    at.fill(page.get_by_label(re.compile("^missing: Round pin")), "1")
    at.press(page.get_by_role("button", name="Take the pieces back"))
    expect(page.get_by_role("status")).to_contain_text("returned now")
    assert line(server, "stop-25-15")["out_of_service"] == stop["out_of_service"] + 1
    assert line(server, "pin-20")["count"] == pin["count"] - 1
    assert violations(page) == []


@slow
@pytest.mark.parametrize("hands", [Mouse, Keys])
def test_pieces_are_recounted_and_who_comes_second_is_told(storekeeper: Visitor, server: OwnServer, hands: type[Mouse]) -> None:
    page = storekeeper.opened(STOP)
    at, other = hands(page), storekeeper.opened(STOP)
    other.get_by_label("Counted").fill("12")
    other.locator("form", has=other.get_by_role("button", name="Write the count down")).get_by_label("Signed by").fill("Jan")
    other.get_by_role("button", name="Write the count down").click()
    expect(other.get_by_role("status")).to_contain_text("12 counted")

    form = page.locator("form", has=page.get_by_role("button", name="Write the count down"))
    at.fill(form.get_by_label("Counted"), "11")
    at.fill(form.get_by_label("Bin"), "A7")
    at.fill(form.get_by_label("Signed by"), "Ute")
    at.press(form.get_by_role("button"))
    expect(page.locator("#refused")).to_contain_text("Somebody else changed it meanwhile")
    expect(form.get_by_label("Counted")).to_have_value("11")
    assert line(server, "stop-25-15")["count"] == 12
    at.press(form.get_by_role("button"))
    expect(page.get_by_role("status")).to_contain_text("11 counted")
    expect(page.get_by_role("status")).to_contain_text("bin A7")


@slow
def test_a_list_with_a_faulty_row_is_mended_and_written(storekeeper: Visitor, server: OwnServer, tmp_path: Path) -> None:
    page = storekeeper.opened("/store/import")
    file = tmp_path / "counted.csv"
    file.write_bytes("item;count;bin\r\npin-20;7;C1\r\nvee-60;three;\r\n".encode("utf-16"))
    page.get_by_label("Choose a file").set_input_files(file)
    expect(page.get_by_role("textbox", name="The list")).to_have_value(re.compile("vee-60;three"))
    page.get_by_role("button", name="Look it through").click()
    expect(page.get_by_role("heading", name="It cannot be taken in yet")).to_be_focused()
    expect(page.locator("table.rows")).to_contain_text("'three' is not a number")
    assert violations(page) == []

    page.get_by_role("textbox", name="The list").fill("item;count;bin\npin-20;7;C1\nvee-60;3;\n")
    page.get_by_role("button", name="Look it through").click()
    expect(page.locator("table.rows")).to_contain_text("C1")
    assert line(server, "pin-20")["count"] != 7
    page.get_by_label("Signed by").fill("Ute")
    page.get_by_role("button", name="Write it, just as shown").click()
    expect(page.get_by_role("status").first).to_contain_text("2 rows read")
    assert line(server, "pin-20")["count"] == 7


@slow
def test_a_server_that_is_away_leaves_what_was_typed(storekeeper: Visitor) -> None:
    page = storekeeper.opened(PIN, expected={"error: Failed to load resource: net::ERR_", "error: htmx:"})
    form = page.locator("form", has=page.get_by_role("button", name="Write it down"))
    form.get_by_label("Pieces").fill("3")
    page.context.set_offline(True)
    form.get_by_role("button").click()
    expect(page.locator("#problems")).to_contain_text("What you typed is still here")
    expect(page.locator("#problems")).to_be_in_viewport()
    expect(form.get_by_label("Pieces")).to_have_value("3")


@slow
def test_the_stock_is_looked_through_and_the_way_back_is_kept(storekeeper: Visitor) -> None:
    page = storekeeper.opened("/store")
    page.get_by_label("Item").fill("toggle")
    page.get_by_label("Item").press("Enter")
    expect(page.locator("table.stock tbody tr")).to_have_count(4)
    expect(page).to_have_url(re.compile("text=toggle"))
    page.go_back()
    expect(page.locator("table.stock tbody tr")).not_to_have_count(4)
