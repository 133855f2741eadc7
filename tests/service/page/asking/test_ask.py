"""The Ask screen: what a draft asks for is filled in, kept as one types, told in sentences, and planned."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import pytest

from inventory.store import Note
from inventory.store.catalogue import ANY_VERSION
from service.records.draft import Draft
from service.records.jobs import JobRecords
from service.rule_books.changes import BookChange, make_book, use_book
from service.weldments.draft_edits import DraftEdits
from tests.service.http.conftest import House
from tests.service.page.visitor import Seen, Visitor


@pytest.fixture
def visitor(house: House) -> Visitor:
    """Somebody at the page of the house."""
    return Visitor(house.call)


@pytest.fixture
def id(visitor: Visitor) -> str:
    """A draft begun from an example."""
    led = visitor.post("/weldments", [("from", "example"), ("example", "hinge-lug")])
    return led.leads_to.rpartition("/")[2]


def records(house: House) -> JobRecords:
    kept: JobRecords = house.app.state.context.planning.records
    return kept


def draft(house: House, id: str) -> Draft:
    return DraftEdits.over(records(house)).drafts.get(id)


def keep(visitor: Visitor, id: str, typed: Mapping[str, Any] | None = None, *, part: bool = False) -> Seen:
    """Fill the form in and keep it, or send it as `do` says."""
    address = f"/weldments/{id}/ask"
    changed: dict[str, Any] = {"do": "keep", **(typed or {})}
    return visitor.send(visitor.open(address), address, part=part, **changed)


def test_the_form_is_filled_in_as_the_draft_has_it(house: House, visitor: Visitor, id: str) -> None:
    fields = visitor.open(f"/weldments/{id}/ask").forms()[f"/weldments/{id}/ask"][0].fields
    assert fields["quantity"] == ["300"] and fields["from"] == [""] and fields["down"] == ["-z"]
    assert fields["tables"] == ["T1"] and fields["shortage"] == ["refuse"] and "set_before" not in fields


def test_what_is_typed_is_kept_as_one_step_and_can_be_undone(house: House, visitor: Visitor, id: str) -> None:
    before = draft(house, id)
    kept = keep(
        visitor, id, {"quantity": "40", "from": "2027-03-01", "to": "2027-03-03", "down": ["-z", "+z"], "rule-clear.weld": "12,5"}
    )
    assert kept.leads_to == f"/weldments/{id}/ask"
    after = draft(house, id)
    assert after.step == before.step + 1 and after.undoes == "changed the quantity and the days and the side down"
    assert after.document["needed"] == {"from": "2027-03-01", "to": "2027-03-03"}
    assert after.document["lie"]["down"] == ["-z", "+z"] and after.document["rules"]["set"] == {"clear.weld": 12.5}
    keep(visitor, id)
    assert draft(house, id).step == after.step, "nothing was changed"


def test_the_pages_script_is_told_what_is_assumed_now(visitor: Visitor, id: str) -> None:
    told = keep(visitor, id, {"shortage": "price"}, part=True)
    assert told.answer.headers["HX-Retarget"] == "#assumed"
    assert "Missing pieces are bought at their price. Lead times are not checked, as no days are given." in told.words
    refused = keep(visitor, id, {"quantity": "none"}, part=True)
    assert refused.answer.headers["HX-Retarget"] == "#not-kept" and "'none' is not a whole number" in refused.words


def test_everything_assumed_is_said(visitor: Visitor, id: str) -> None:
    words = visitor.open(f"/weldments/{id}/ask").words
    for sentence in (
        "No days are given: the hardware is held for one day, and what is free today counts.",
        "Only pieces that are free on those days are used.",
        "It lies as drawn; no other side may face the table.",
        "Every rule is as the rule book has it.",
    ):
        assert sentence in words, words


def test_every_fault_stands_at_its_field(visitor: Visitor, id: str) -> None:
    typed = {"quantity": "0", "from": "2027-03-03", "to": "2027-03-01", "down": [], "turn": ["90", "400"], "time_limit_s": "1e9"}
    refused = keep(visitor, id, {**typed, "rule-clear.weld": "900", "rule-hold.friction": "much"})
    assert refused.status == 422
    assert refused.faults().keys() >= {"quantity", "to", "down", "turn", "time_limit_s"}
    assert "900 is out of range" in refused.words and "'much' is no number" in refused.words
    assert refused.forms()[f"/weldments/{id}/ask"][0].fields["quantity"] == ["0"], "what was typed is still there"


def test_a_draft_is_planned_and_leads_to_its_job(house: House, visitor: Visitor, id: str) -> None:
    led = keep(visitor, id, {"do": "plan", "quantity": "41", "tables": ["T1", "T2"]})
    made = led.leads_to.removeprefix("/jobs/")
    request = json.loads(records(house).request_of(made) or "")
    assert (request["quantity"], request["tables"], request["today"]) == (41, ["T1", "T2"], None)
    assert "tables" not in draft(house, id).document, "all there are, whichever there are"
    assert house.until(made, "done")["plan"]["status"] == "optimal"


def test_lead_times_count_from_the_day_it_is_asked(house: House, visitor: Visitor, id: str) -> None:
    led = keep(visitor, id, {"do": "plan", "shortage": "price", "lead_times": "yes", "from": "2027-03-01"})
    request = json.loads(records(house).request_of(led.leads_to.removeprefix("/jobs/")) or "")
    assert request["today"] is not None and request["needed"] == {"from": "2027-03-01", "to": "2027-03-01"}


def test_sent_twice_it_is_planned_once(visitor: Visitor, id: str) -> None:
    screen, address = visitor.open(f"/weldments/{id}/ask"), f"/weldments/{id}/ask"
    first, second = (visitor.send(screen, address, do="plan").leads_to for _ in range(2))
    assert first == second != ""


def test_what_others_did_meanwhile_is_not_overwritten(house: House, visitor: Visitor, id: str) -> None:
    stale, address = visitor.open(f"/weldments/{id}/ask"), f"/weldments/{id}/ask"
    keep(visitor, id, {"quantity": "55"})
    told = visitor.send(stale, address, do="plan", quantity="66")
    assert told.status == 409 and "Somebody else changed this draft meanwhile" in told.words
    assert draft(house, id).document["quantity"] == 55
    assert visitor.send(stale, address, do="plan", quantity="55").leads_to.startswith("/jobs/"), "the same as was kept"


def test_faults_of_the_weldment_lead_back_to_it(house: House, visitor: Visitor) -> None:
    empty = visitor.post("/weldments", [("from", "blank"), ("units", "mm")]).leads_to.rpartition("/")[2]
    screen = visitor.open(f"/weldments/{empty}/ask")
    assert "to mend at the weldment" in screen.words and f'href="/weldments/{empty}"' in screen.answer.text
    refused = keep(visitor, empty, {"do": "plan"})
    assert refused.status == 422 and f"/weldments/{empty}" in refused.answer.text and "<html" in refused.answer.text


def test_other_rules_are_found_and_have_a_field(visitor: Visitor, id: str) -> None:
    found = visitor.open(f"/weldments/{id}/ask/rules?q=friction", **{"HX-Request": "true"})
    assert 'name="rule-hold.friction"' in found.answer.text and "0.15 by default, from 0 to 1" in found.words
    keep(visitor, id, {"rule-hold.friction": "0.2"})
    shown = visitor.open(f"/weldments/{id}/ask")
    assert shown.answer.text.count('name="rule-hold.friction"') == 1 and "Others that differ" in shown.words
    again = visitor.open(f"/weldments/{id}/ask/rules?q=friction", **{"HX-Request": "true"})
    assert 'name="rule-hold.friction"' not in again.answer.text, "it has its field already"


def test_rules_are_shown_as_the_book_in_use_has_them(house: House, visitor: Visitor, id: str) -> None:
    """What is typed counts, the built-in number too: an empty field is as in the book."""
    note, store = Note("engineer", datetime(2027, 3, 1, tzinfo=UTC), "ours"), records(house).database
    store.write(lambda c: make_book(c, "shop", "shop", BookChange({"clear.weld": 21}), note))
    store.write(lambda c: use_book(c, "shop", None, note, ANY_VERSION))
    try:
        assert "21 in rule book shop, version 1, from 0 to 200" in visitor.open(f"/weldments/{id}/ask").words
        keep(visitor, id, {"rule-clear.weld": "15"})
        assert draft(house, id).document["rules"] == {"set": {"clear.weld": 15}}
    finally:
        store.write(lambda c: use_book(c, "default", None, note, ANY_VERSION))


def test_the_request_is_given_as_it_would_be_asked(house: House, visitor: Visitor, id: str) -> None:
    request = house.call("GET", f"/weldments/{id}/ask/request.json").json()
    assert (request["format"], request["tables"], request["quantity"]) == ("holdwright.request/1", ["T1"], 300)
    taken = house.call("POST", "/v1/plans", json=request, headers={"Prefer": "wait=20"})
    assert taken.status_code == 200, taken.text


def test_there_is_nothing_to_ask_of_no_draft(visitor: Visitor) -> None:
    assert visitor.open("/weldments/0123456789abcdef/ask").status == 404
