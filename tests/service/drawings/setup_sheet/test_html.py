"""The sheet as a page: everything of the plan in it, nothing fetched, nothing run, every text of the request escaped."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest

from service.drawings.setup_sheet import as_html
from tests.service.drawings.kept import AGAIN, LARGEST, SMALLER, kept, renamed

VOID = {"meta", "br"}


class _Page(HTMLParser):
    """The page's elements, texts and addresses; opened and closed in pairs."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: set[str] = set()
        self.texts: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


@pytest.mark.parametrize("name", [*SMALLER, pytest.param(LARGEST, marks=pytest.mark.slow)])
def test_every_piece_is_there_and_the_page_is_well_formed(name: str) -> None:
    page = _Page(as_html(kept(name)))
    assert page.open == []
    text = " ".join(" ".join(page.texts).split())
    for number, one in enumerate(kept(name).alternative.placements, 1):
        assert f" {one.id} " in text and one.item in text and (one.hole or f"on {one.stands_on}") in text, number


def test_nothing_is_fetched_or_run() -> None:
    page = _Page(as_html(kept("hinge-lug")))
    assert not page.tags & {"script", "link", "img", "iframe", "object", "form"}
    assert not [name for name, _ in page.attributes if name.startswith("on") or name in ("src", "href", "xlink:href")]


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "{{ 7 * 7 }}", "שלום 🔧" * 20, '"><svg onload=alert(1)>'])
def test_names_are_data(name: str) -> None:
    page = _Page(as_html(renamed(kept("tee"), name)))
    assert "script" not in page.tags and not any(attribute == "onload" for attribute, _ in page.attributes)
    assert any(name in text for text in page.texts)


def test_a_re_plan_shows_its_changes() -> None:
    assert "Change what stands" in as_html(kept(AGAIN)) and "hole M6 is blocked" in as_html(kept(AGAIN))


def test_the_same_plan_gives_the_same_page() -> None:
    assert as_html(kept("tee")) == as_html(kept("tee"))
