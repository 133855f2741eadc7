"""A plan in space: seen, turned, picked from and played, by mouse and by keyboard; and said in words where it cannot be seen."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from service.drawings.models.glb import as_glb
from tests.browser.axe import violations
from tests.browser.keyboard import press, stops, tab_to
from tests.browser.made_pages import MODEL, make_page, show_space_view, view_of
from tests.browser.space_views import at_rest, frames, picks, places, towards
from tests.browser.visits import SCHEMES, Scheme, Visitor
from tests.service.drawings.kept import kept

JOB = "gable"
slow = pytest.mark.slow


@pytest.fixture
def page(visit: Visitor) -> Page:
    """A page with the view of a plan of two parts, for somebody who wants no motion."""
    found = visit.opened("")
    show_space_view(found, JOB)
    return found


@slow
@pytest.mark.parametrize("scheme", SCHEMES)
def test_it_is_drawn_in_the_pages_colours_and_nobody_is_shut_out(visit: Visitor, scheme: Scheme) -> None:
    page = visit.opened("", "phone", scheme)
    show_space_view(page, JOB)
    expect(page.locator("space-view")).to_have_attribute("state", "ready")
    expect(page.get_by_role("group", name="Fixture in space")).to_be_visible()
    assert violations(page) == []
    assert at_rest(page) > 0
    paper = page.evaluate("() => getComputedStyle(document.documentElement).backgroundColor")
    corner = page.locator("space-view").evaluate(
        "({stage: {materials: {colours}}}) => `rgb(${colours.paper.toArray().map((part) => Math.round(255 * part)).join(', ')})`"
    )
    assert corner == paper


@slow
def test_nothing_is_drawn_while_nothing_changes(page: Page) -> None:
    before = at_rest(page)
    page.wait_for_timeout(400)
    assert frames(page) == before
    page.emulate_media(color_scheme="dark")
    page.wait_for_function("before => document.querySelector('space-view').frames > before", arg=before)


@slow
def test_it_is_turned_zoomed_and_seen_whole_by_keyboard(page: Page) -> None:
    tab_to(page, page.locator("space-view canvas"))
    at_rest(page)
    home = towards(page)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("+")
    at_rest(page)
    assert towards(page) != pytest.approx(home, abs=0.05)
    page.keyboard.press("Home")
    at_rest(page)
    assert towards(page) == pytest.approx(home, abs=1e-6)
    press(page, page.get_by_role("button", name="Above"))
    at_rest(page)
    assert towards(page) == pytest.approx([0, 1, 0], abs=1e-3)


@slow
def test_every_button_is_reached_by_tab_which_goes_once_round(page: Page) -> None:
    found = stops(page)
    names = [stop.what for stop in found]
    assert names[0] == 'canvas "Arrow keys turn, with Shift they shift, plus and minus zoom, Home shows all"'
    assert names[1:7] == [f'button "{name}"' for name in ("All", "Above", "Front", "Side", "Closer", "Farther")]
    assert names[8:] == ['button "Back"', 'button "Play"', 'button "Step"', 'a "words"']
    assert all(stop.ringed and stop.seen for stop in found)


@slow
def test_it_is_turned_by_mouse_and_a_drag_picks_nothing(page: Page) -> None:
    at_rest(page)
    before = towards(page)
    assert picks(page) == []
    box = page.locator("space-view canvas").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2 + 120, box["y"] + box["height"] / 2 + 30, steps=4)
    page.mouse.up()
    at_rest(page)
    assert towards(page) != pytest.approx(before, abs=0.05)
    assert picks(page) == []


@slow
def test_a_click_picks_a_part_a_piece_or_a_hole(page: Page) -> None:
    page.get_by_role("button", name="Above").click()
    at_rest(page)
    assert picks(page) == []
    canvas, view = page.locator("space-view canvas"), page.locator("space-view")
    where = places(page)
    for ref in ("part:left", "piece:p4"):
        canvas.click(position=where[ref])  # type: ignore[arg-type]
        expect(view).to_have_attribute("picked", ref)
    canvas.click(position={"x": 5, "y": 5})
    found = picks(page)
    assert [each["kind"] for each in found[:2]] == ["part", "piece"]
    assert found[0]["name"] == "left" and found[0]["normal"][2] > 0.5
    assert found[2]["kind"] in ("hole", "table")
    expect(page.locator(".space-view-said")).not_to_be_empty()


@slow
def test_a_page_marks_what_it_likes(page: Page) -> None:
    view = page.locator("space-view")
    view.evaluate("view => view.setAttribute('picked', 'piece:p4')")
    expect(page.locator(".space-view-said")).to_contain_text("piece p4, ")
    view.evaluate("view => view.setAttribute('picked', 'hole:C7')")
    expect(page.locator(".space-view-said")).to_have_text("hole C7")
    view.evaluate("view => view.removeAttribute('picked')")
    expect(page.locator(".space-view-said")).to_be_empty()


@slow
def test_ways_are_stepped_through_part_by_part(page: Page) -> None:
    said, step = page.locator(".space-view-step"), page.get_by_role("button", name="Step")
    choice = page.get_by_label("Which way")
    press(page, step)
    expect(said).to_have_text("move 1 of 1: down 150 mm")
    assert choice.evaluate("list => list.selectedOptions[0].text") == "left goes in"
    press(page, step)
    expect(said).to_have_text("left goes in: done")
    for _ in range(4):
        press(page, step)
    expect(said).to_have_text("the weldment goes out: done")
    expect(step).to_have_attribute("aria-disabled", "true")
    press(page, page.get_by_role("button", name="Back"))
    expect(said).to_have_text("move 1 of 1: up 150 mm")
    choice.select_option("all in place")
    expect(said).to_be_empty()


@slow
def test_a_way_is_played_to_its_end_and_can_be_paused(visit: Visitor) -> None:
    page = visit.opened("", calm=False)
    show_space_view(page, JOB)
    press(page, page.get_by_role("button", name="Play"))
    page.get_by_role("button", name="Pause").click()
    expect(page.get_by_role("button", name="Play")).to_be_visible()
    page.get_by_role("button", name="Play").click()
    expect(page.locator(".space-view-step")).to_have_text("left goes in: done")
    expect(page.get_by_role("button", name="Play")).to_be_visible()


@slow
def test_those_who_want_no_motion_see_the_ends_of_the_moves(page: Page) -> None:
    at_rest(page)
    before = frames(page)
    page.get_by_role("button", name="Play").click()
    expect(page.locator(".space-view-step")).to_have_text("left goes in: done")
    assert at_rest(page) - before <= 6


@slow
def test_its_place_is_taken_before_the_model_is_there(visit: Visitor) -> None:
    waiting, there = visit.opened(""), visit.opened("")
    waiting.route(f"**{MODEL}", lambda route: None)
    make_page(waiting, view_of(JOB))
    expect(waiting.locator("space-view")).to_have_attribute("state", "loading")
    show_space_view(there, JOB)
    assert waiting.locator("space-view").bounding_box() == there.locator("space-view").bounding_box()


@slow
def test_another_model_is_seen_from_where_the_last_one_was(page: Page) -> None:
    page.route("**/made/other.glb", lambda route: route.fulfill(body=as_glb(kept("tee")), content_type="model/gltf-binary"))
    tab_to(page, page.locator("space-view canvas"))
    for key in ("ArrowLeft", "ArrowUp", "+"):
        page.keyboard.press(key)
    at_rest(page)
    before, zoom = towards(page), "view => view.stage.camera.zoom"
    near = page.locator("space-view").evaluate(zoom)
    page.locator("space-view").evaluate("view => view.setAttribute('src', '/made/other.glb')")
    page.wait_for_function("() => document.querySelector('space-view').stage.model.bodies.some((body) => body.id === 'header')")
    at_rest(page)
    assert towards(page) == pytest.approx(before)
    assert page.locator("space-view").evaluate(zoom) == near


@slow
def test_printed_are_the_words(page: Page) -> None:
    page.emulate_media(media="print")
    expect(page.get_by_text("the same in words")).to_be_in_viewport()
    expect(page.locator("space-view canvas")).to_be_hidden()


@slow
def test_without_webgl_the_words_stand_in_its_place(visit: Visitor) -> None:
    page = visit.opened("")
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    show_space_view(page, JOB)
    expect(page.get_by_role("status")).to_have_text(
        "This browser cannot show the view in space: WebGL is missing or switched off."
    )
    expect(page.get_by_text("the same in words")).to_be_visible()
    assert page.locator("space-view canvas").is_hidden()
    assert violations(page) == []


@slow
@slow
@pytest.mark.parametrize(
    ("model", "status", "words"),
    [
        (b'{"title": "Not found", "detail": "there is no plan 7"}', 404, "there is no plan 7"),
        (b"not JSON", 409, "the server answers 409"),
        (b"not a model", 200, ""),
    ],
    ids=["not found", "no words", "no model"],
)
def test_a_model_that_cannot_be_had_is_said_in_words(visit: Visitor, model: bytes, status: int, words: str) -> None:
    page = visit.opened("", expected={f"{status} for GET"})
    show_space_view(page, JOB, model=model, status=status)
    expect(page.locator("space-view")).to_have_attribute("state", "failed")
    expect(page.locator(".space-view-said")).to_contain_text(f"The view in space cannot be shown: {words}")
    expect(page.get_by_text("the same in words")).to_be_visible()
