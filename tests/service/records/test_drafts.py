"""Drafts of requests: every step can be undone and done again, and nobody's step goes under: on both databases."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import sqlalchemy as sa

from inventory.store import Store, open_store
from inventory.store.errors import NotFound, Stale
from service.records import drafts as module
from service.records.draft import Draft, DraftEdit
from service.records.drafts import DraftRecords
from service.records.jobs import JobRecords
from service.records.schema import draft_steps, writes
from service.records.writes import Asked
from service.retention import sweep, would_go
from service.settings import Settings
from tests.databases import KINDS, new_database
from tests.shelf import READERS

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)


def by(minutes: int = 0) -> Asked:
    return Asked(None, "tests", "change_draft", "POST /weldments", NOON + timedelta(minutes=minutes))


def named(name: str, **more: Any) -> dict[str, Any]:
    return {"format": "holdwright.request/1", "weldment": {"name": name, **more}}


@pytest.fixture(scope="module", params=KINDS)
def store(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    opened = open_store(new_database(request.param, tmp_path_factory.mktemp("drafts")), READERS)
    JobRecords(opened, "tests", 10, 24).create()
    yield opened
    opened.close()


@pytest.fixture
def records(store: Store) -> DraftRecords:
    return DraftRecords(store)


def taken(records: DraftRecords, draft: Draft, name: str, words: str, minutes: int = 0) -> Draft:
    return records.change(draft.id, lambda _: DraftEdit(named(name), words, draft.step), by(minutes))


def name_of(draft: Draft) -> str:
    return str(draft.document["weldment"]["name"])


def test_a_step_is_undone_and_done_again(records: DraftRecords) -> None:
    first = records.make(named("post"), "started empty", by())
    assert (first.step, first.undoes, first.redoes, first.summary.name) == (1, None, None, "post")
    second = taken(records, first, "gate", "named it gate")
    assert (name_of(second), second.undoes) == ("gate", "named it gate")
    back = records.undo(first.id, second.step, by())
    assert (name_of(back), back.undoes, back.redoes, back.summary.name) == ("post", None, "named it gate", "post")
    assert records.redo(first.id, back.step, by()) == second == records.get(first.id)
    assert records.redo(first.id, second.step, by()).step == second.step, "nothing to do again: it stays"


def test_what_is_done_after_an_undo_takes_the_undone_steps_place_under_a_number_of_its_own(records: DraftRecords) -> None:
    first = records.make(named("post"), "started empty", by())
    second = taken(records, first, "gate", "named it gate")
    third = taken(records, records.undo(first.id, second.step, by()), "rail", "named it rail")
    assert third.step == 3 and third.redoes is None
    assert name_of(records.undo(first.id, third.step, by())) == "post"


def test_a_step_on_what_others_changed_meanwhile_is_refused_by_name_and_changes_nothing(records: DraftRecords) -> None:
    first = records.make(named("post"), "started empty", by())
    second = taken(records, first, "gate", "named it gate")
    with pytest.raises(Stale, match=f"draft {first.id} is at version 2, not 1") as refused:
        taken(records, first, "rail", "named it rail")
    assert refused.value.actual == 2 and records.get(first.id) == second
    for act in (records.undo, records.redo):
        with pytest.raises(Stale):
            act(first.id, 1, by())
    with pytest.raises(Stale):  # an undone step's number is no longer where the draft stands
        records.undo(first.id, 2, by())
        taken(records, second, "rail", "named it rail")


def test_of_many_who_go_on_from_one_step_at_once_one_does(records: DraftRecords) -> None:
    first = records.make(named("post"), "started empty", by())
    done: list[str] = []

    def go_on(name: str) -> None:
        try:
            taken(records, first, name, "named it")
            done.append(name)
        except Stale:
            pass

    threads = [threading.Thread(target=go_on, args=(str(k),)) for k in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [name_of(records.get(first.id))] == done


def test_the_last_steps_are_kept_fewer_of_large_documents(records: DraftRecords, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "KEPT_STEPS", 5)
    draft = records.make(named("post"), "started empty", by())
    for k in range(8):
        draft = taken(records, draft, str(k), f"named it {k}")
    count = sa.select(sa.func.count()).select_from(draft_steps).where(draft_steps.c.draft == draft.id)
    assert records.database.read(lambda c: c.execute(count).scalar_one()) == 5
    oldest = draft
    while oldest.undoes is not None:
        oldest = records.undo(draft.id, oldest.step, by())
    assert name_of(oldest) == "3"
    monkeypatch.setattr(module, "KEPT_CHARACTERS", 300)
    draft = records.change(draft.id, lambda d: DraftEdit(named("x" * 150), "a long name", d.step), by())
    assert records.database.read(lambda c: c.execute(count).scalar_one()) == 2


def test_drafts_are_listed_newest_change_first_page_by_page(store: Store, records: DraftRecords) -> None:
    early, late = 60 * 24 * 30, 60 * 24 * 31
    one = records.make(named("one"), "started empty", by(early))
    two = records.make(named("two"), "started empty", by(late))
    one = taken(records, one, "one again", "named it", late + 1)
    page = records.listed(limit=1)
    assert [each.name for each in page] == ["one again"]
    assert records.listed(page[0], limit=1) == [two.summary]
    records.remove(one.id, by())
    assert records.listed(limit=1) == [two.summary]


def test_there_is_no_such_draft(records: DraftRecords) -> None:
    gone = records.make(named("post"), "started empty", by())
    records.remove(gone.id, by())
    for id in (gone.id, "0" * 16, "", "a\0b", "' OR 1=1", "x" * 500):
        with pytest.raises(NotFound, match="there is no draft"):
            records.get(id)
        with pytest.raises(NotFound):
            records.remove(id, by())
        with pytest.raises(NotFound):
            records.undo(id, 1, by())


def test_every_change_has_its_line_in_the_journal_and_no_change_has_none(store: Store, records: DraftRecords) -> None:
    count = sa.select(sa.func.count()).select_from(writes)
    before = store.read(lambda c: c.execute(count).scalar_one())
    draft = records.make(named("post"), "started empty", by())
    draft = taken(records, draft, "gate", "named it gate")
    assert records.change(draft.id, lambda _: None, by()) == draft
    draft = records.undo(draft.id, draft.step, by())
    records.undo(draft.id, draft.step, by())
    records.remove(draft.id, by())
    assert store.read(lambda c: c.execute(count).scalar_one()) - before == 4


def test_a_name_no_database_keeps_does_not_stop_the_list(records: DraftRecords) -> None:
    draft = records.make(named("a\0b\n" + "x" * 300), "started empty", by())
    assert draft.summary.name == ("ab" + "x" * 300)[:200]
    assert records.make({"weldment": {"name": 7}}, secrets.token_hex(200), by()).summary.name == ""


def test_drafts_nobody_changed_for_as_long_as_jobs_are_kept_go_with_their_steps(store: Store, records: DraftRecords) -> None:
    old = records.make(named("old"), "started empty", by(-60 * 24 * 91))
    young = records.make(named("young"), "started empty", by(-60 * 24 * 89))
    taken_up = taken(records, records.make(named("taken up"), "started empty", by(-60 * 24 * 91)), "again", "named it")
    for_ever = Settings(keep_jobs_days=0)
    assert "drafts" not in would_go(store, for_ever, NOON)
    assert sweep(store, Settings(keep_jobs_days=90), NOON)["drafts"] == 1
    with pytest.raises(NotFound):
        records.get(old.id)
    assert records.get(young.id) == young and records.get(taken_up.id) == taken_up
    left = sa.select(sa.func.count()).select_from(draft_steps).where(draft_steps.c.draft == old.id)
    assert store.read(lambda c: c.execute(left).scalar_one()) == 0
