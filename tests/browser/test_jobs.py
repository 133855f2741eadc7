"""Jobs in a browser: found as one types, asked by keyboard alone, followed, stopped, helped where there is no plan."""

from __future__ import annotations

import json
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from service.demo import job_document
from tests.browser.axe import violations
from tests.browser.keyboard import fill, press
from tests.browser.screens import drafted
from tests.browser.visits import Visitor
from tests.service.served import OwnServer

slow = pytest.mark.slow


def asked(server: OwnServer, example: str, **changes: Any) -> str:
    """Ask for a plan of an example, solved anew, and return its job's id."""
    request = {**json.loads(job_document(example)), **changes}
    job: dict[str, Any] = server.door.post("/v1/plans", json=request, headers={"Cache-Control": "no-cache"}).json()
    return str(job["id"])


def standing(page: Page) -> str:
    return page.locator("#standing").inner_text()


@slow
def test_jobs_are_found_as_their_name_is_typed(visit: Visitor, shared_server: OwnServer) -> None:
    for name in ("hinge-lug", "tee"):
        shared_server.until(asked(shared_server, name, time_limit_s=2), "done")
    page = visit.opened("/")
    rows = page.locator("table.jobs tbody tr")
    expect(rows).not_to_have_count(0)
    page.get_by_label("Weldment's name").press_sequentially("square tubes")
    expect(page.get_by_role("link", name="Gate rail with hinge lug")).to_have_count(0)
    expect(page.get_by_role("link", name="T of two square tubes").first).to_be_visible()
    assert page.url.endswith("/?name=square%20tubes&state=&status="), "it can be sent on and come back to"
    expect(page.locator("#jobs-found")).to_contain_text("job")
    expect(page.get_by_label("Weldment's name")).to_be_focused()
    page.get_by_label("State").select_option("failed")
    expect(page.get_by_text("No job fits.")).to_be_visible()


@slow
def test_a_job_is_asked_by_keyboard_followed_and_stopped_with_its_best_plan(visit: Visitor, shared_server: OwnServer) -> None:
    page = visit.opened(f"/weldments/{drafted(shared_server, 'frame-4')}/ask")
    fill(page, page.get_by_label("Weldments", exact=True), "31")
    fill(page, page.get_by_label("Time limit", exact=True), "120")
    press(page, page.get_by_role("button", name="Plan it"))
    expect(page.get_by_role("heading", name="Rectangular frame of four tubes")).to_be_visible()
    expect(page.get_by_text("31 off")).to_be_visible()
    expect(page.locator("#standing")).to_contain_text("Best so far", timeout=120_000)
    expect(page.locator("#drawing svg.drawing")).to_be_visible()
    assert violations(page) == []
    first = page.locator(".facts").inner_text()
    page.wait_for_function("before => document.querySelector('.facts').innerText !== before", arg=first)
    expect(page.locator("#told")).to_contain_text("Best so far")
    press(page, page.get_by_role("button", name="Stop and keep the best so far"))
    expect(page.get_by_text("Somebody ended the search")).to_be_visible(timeout=60_000)


@slow
def test_the_list_changes_by_itself_while_a_job_is_planned(visit: Visitor, shared_server: OwnServer) -> None:
    id = asked(shared_server, "mitred-frame", time_limit_s=8)
    page = visit.opened("/")
    row = page.locator(f"#job-{id}")
    expect(row.get_by_text("is being planned")).to_be_visible(timeout=60_000)
    row.get_by_role("link").focus()
    expect(row.get_by_text("is being planned")).to_have_count(0, timeout=60_000)
    expect(row.get_by_role("link")).to_be_focused()
    expect(page.locator("#open-jobs[hx-get]")).to_have_count(0, timeout=60_000)


@slow
def test_where_there_is_no_plan_a_repair_leads_to_one(visit: Visitor, shared_server: OwnServer) -> None:
    id = asked(shared_server, "one-clamp-short", time_limit_s=200)
    shared_server.until(id, "done", seconds=200)
    page = visit.opened(f"/jobs/{id}", "phone", "dark")
    expect(page.get_by_role("heading", name="There is no plan, because")).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="Plan with this bought").first.click()
    page.wait_for_url(lambda address: id not in address)
    expect(page.get_by_role("heading", name="T of two square tubes, one clamp left")).to_be_visible()
    expect(page.locator("#standing")).to_contain_text("Best so far", timeout=120_000)
    page.get_by_role("button", name="Stop and keep the best so far").click()
    expect(page.locator("article.column").first).to_be_visible(timeout=60_000)


@slow
def test_what_is_asked_is_kept_as_it_is_typed_and_rules_are_looked_for(visit: Visitor, shared_server: OwnServer) -> None:
    page = visit.opened(f"/weldments/{drafted(shared_server, 'hinge-lug')}/ask")
    page.get_by_label("First day", exact=True).fill("2027-03-01")
    page.get_by_label("First day", exact=True).press("Tab")
    expect(page.locator("#assumed")).to_contain_text("Mon 1 Mar 2027")
    page.get_by_label("Time limit", exact=True).fill("9999")
    page.get_by_label("Time limit", exact=True).press("Tab")
    expect(page.locator("#not-kept")).to_contain_text("9999 s is out of range")
    page.get_by_label("Time limit", exact=True).fill("10")
    page.get_by_label("Time limit", exact=True).press("Tab")
    expect(page.locator("#not-kept")).to_be_empty()
    page.get_by_label("Look for another rule").press_sequentially("friction")
    page.get_by_label("Look for another rule").press("Enter")
    page.get_by_label("hold.friction").fill("0.2")
    page.get_by_label("hold.friction").press("Tab")
    expect(page.locator("#assumed")).to_contain_text("1 rule differs from the rule book")
    assert violations(page) == []
    page.reload()
    expect(page.get_by_label("hold.friction")).to_have_value("0.2")


@slow
def test_a_rule_is_found_as_its_words_are_typed(visit: Visitor) -> None:
    page = visit.opened("/rules#clear.weld")
    expect(page.locator("[id='clear.weld']")).to_be_in_viewport()
    page.get_by_label("Look for").press_sequentially("torch diameter")
    expect(page.locator("[id='clear.weld']")).to_have_count(0)
    expect(page.locator("[id='torch.nozzle_diameter']")).to_be_visible()
    expect(page.locator("#rules-found")).to_have_text("2 rules")
