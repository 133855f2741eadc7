"""Pages made for tests, answered in the server's place under its address and policy, with its own scripts and styles."""

from __future__ import annotations

import json
from urllib.parse import urlsplit

from playwright.sync_api import Page, Route

from service.drawings.models.glb import as_glb
from service.drawings.models.ways import way_documents
from service.page.frame import HEADERS
from service.page.static_files import static_files
from tests.service.drawings.kept import kept

MODEL = "/made/model.glb"
NOWHERE = "http://nowhere.test"
"""The address of pages that need no server, see answer_static."""


def show_space_view(page: Page, job: str, *, ways: bool = True, model: bytes | None = None, status: int = 200) -> None:
    """Open a page with nothing but the view in space of a kept plan, and wait until it is there or cannot be.

    Parameters
    ----------
    model, status
        What is answered in place of the plan's model.
    """
    body = as_glb(kept(job)) if model is None else model
    media = "model/gltf-binary" if status == 200 else "application/problem+json"
    page.route(f"**{MODEL}", lambda route: route.fulfill(status=status, body=body, content_type=media))
    make_page(page, view_of(job, ways=ways))
    page.locator("space-view:is([state=ready], [state=failed])").wait_for(state="attached")


def make_page(page: Page, body: str) -> None:
    """Open a page with this in its body."""
    static = static_files().address
    styles = "".join(f'<link rel="stylesheet" href="{static(name)}">' for name in ("theme.css", "page.css", "space_view.css"))
    html = (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f'<title>made for a test</title><link rel="icon" href="{static("mark.svg")}">{styles}'
        f'<script type="module" src="{static("space_view.js")}"></script></head><body><main>{body}</main></body></html>'
    )

    def answer(route: Route) -> None:
        route.fulfill(body=html, content_type="text/html", headers=HEADERS)

    page.route("**/made/page", answer)
    page.goto("/made/page")


def view_of(job: str, *, ways: bool = True) -> str:
    """Return the element that shows a kept plan in space."""
    block = json.dumps(way_documents(kept(job)) if ways else []).replace("<", "\\u003c")
    return (
        f'<h1>A fixture</h1><space-view src="{MODEL}" label="Fixture in space">'
        f'<ul><li>the same in <a href="#more">words</a></li></ul><script type="application/json">{block}</script></space-view>'
        f'<p id="more">More.</p>'
    )


def answer_static(page: Page) -> None:
    """Answer what a page loads besides itself without any server."""

    def answer(route: Route) -> None:
        name = urlsplit(route.request.url).path.split("/", 3)[3]
        kind = {"js": "text/javascript", "css": "text/css", "svg": "image/svg+xml"}[name.rpartition(".")[2]]
        route.fulfill(body=static_files().contents[name], content_type=kind)

    page.route("**/static/**", answer)
