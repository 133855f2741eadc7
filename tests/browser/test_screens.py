"""Every screen in every size and both lights: nobody is shut out, and the keyboard comes everywhere and out again."""

from __future__ import annotations

import pytest

from tests.browser.axe import violations
from tests.browser.keyboard import stops
from tests.browser.screens import LONG, LOOKS, SCREENS, address
from tests.browser.space_views import show_all_views
from tests.browser.visits import SIZES, Scheme, Size, Visitor
from tests.service.served import OwnServer

slow = pytest.mark.slow


@slow
@pytest.mark.parametrize(("size", "scheme"), LOOKS)
@pytest.mark.parametrize("name", SCREENS)
def test_a_screen_breaks_no_rule_and_scrolls_only_down(
    visit: Visitor, shared_server: OwnServer, name: str, size: Size, scheme: Scheme
) -> None:
    page = visit.opened(address(name, shared_server), size, scheme)
    assert violations(page) == []
    assert page.evaluate("() => document.documentElement.scrollWidth") <= SIZES[size]["width"]


@slow
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", [name for name in SCREENS if name not in LONG])
def test_the_keyboard_comes_everywhere_and_shows_where_it_is(
    visit: Visitor, shared_server: OwnServer, name: str, size: Size
) -> None:
    page = visit.opened(address(name, shared_server), size)
    show_all_views(page)
    found = stops(page)
    assert [stop.what for stop in found if not (stop.ringed and stop.seen)] == []
    assert [stop.what for stop in stops(page, "Shift+Tab")] == [stop.what for stop in reversed(found)]


@slow
@pytest.mark.parametrize("name", [name for name in SCREENS if name not in LONG])
def test_everything_that_acts_is_reached_by_keyboard(visit: Visitor, shared_server: OwnServer, name: str) -> None:
    """Of a group of radio buttons, one; what no screen reader is told of has its equal beside it, which is."""
    page = visit.opened(address(name, shared_server))
    show_all_views(page)
    count = page.evaluate(
        """() => {
          const all = [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")]
            .filter((each) => each.tabIndex >= 0);
          const there = all.filter((each) => each.checkVisibility({ visibilityProperty: true }) && !each.matches(":disabled")
            && !each.closest("[aria-hidden=true]"));
          const groups = there.filter((each) => each.type === "radio").map((each) => each.name);
          return there.length - groups.length + new Set(groups).size;
        }"""
    )
    assert len(stops(page)) == count
