"""Weldments kept in versions: what one says never changes, and requests name one by id: on both databases."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from inventory.store import Connection, Note, Store, open_store
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import AlreadyThere, NotFound, Stale
from service.documents import read_request, read_weldment, weldment_document
from service.documents.request import EXAMPLE as REQUEST
from service.documents.stored_weldments.stored_version import in_full, weldment_as_planned, weldments_named
from service.documents.weldment import EXAMPLE as WELDMENT
from service.documents.weldment import weldment_fingerprint
from service.records import stored_weldments as kept
from service.records.jobs import JobRecords
from service.records.schema import stored_weldment_versions, stored_weldments
from service.records.stored_weldment import SourceFile, WeldmentVersion
from service.stored_weldments.changes import StoredChange, store_new, store_under, store_version, weldment_id_faults
from service.stored_weldments.lookup import weldments_found
from service.stored_weldments.reading import ReadWeldment, read_to_store
from service.stored_weldments.whole import altered_weldments
from tests.databases import KINDS, new_database
from tests.shelf import READERS

NOTE = Note("the engineer", datetime(2027, 3, 1, 12, tzinfo=UTC), "drawn anew")


@pytest.fixture(scope="module", params=KINDS)
def one_store(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    opened = open_store(new_database(request.param, tmp_path_factory.mktemp("weldments")), READERS)
    JobRecords(opened, "tests", 10, 24).create()
    yield opened
    opened.close()


@pytest.fixture
def store(one_store: Store) -> Store:
    """A store without weldments."""

    def empty(connection: Connection) -> None:
        for table in (stored_weldment_versions, stored_weldments):
            connection.execute(table.delete())

    one_store.write(empty)
    return one_store


def read(**changed: Any) -> ReadWeldment:
    return read_to_store(json.dumps({**WELDMENT, **changed}))


def add(store: Store, id: str | None = "post", read: ReadWeldment | None = None, **more: Any) -> WeldmentVersion:
    return store.write(lambda c: store_new(c, id, read or read_to_store(json.dumps(WELDMENT)), NOTE, **more))


def change(store: Store, read: ReadWeldment, expected: int = ANY_VERSION) -> StoredChange:
    return store.write(lambda c: store_version(c, "post", read, NOTE, expected))


def found(store: Store, document: Any) -> Any:
    return in_full(document, weldments_found(store, weldments_named(document)))


def refused(act: Any) -> list[tuple[str, str, str]]:
    with pytest.raises(InvalidDocument) as refusal:
        act()
    return [(fault.pointer, fault.wrong, fault.accepted) for fault in refusal.value.faults]


def test_every_version_stays_as_it_was_given(store: Store) -> None:
    add(store, source=SourceFile("post.step", "step", "a" * 64))
    done = change(store, read(name="taller post", units="mm"), expected=1)
    assert (done.made, done.version.number, done.version.name) == (True, 2, "taller post")
    assert [each.number for each in store.read(lambda c: kept.weldment_versions(c, "post"))] == [2, 1]
    newest, first = store.read(lambda c: [kept.weldment_version(c, "post", number) for number in (2, 1)])
    assert first.document() == WELDMENT
    assert (first.by, first.why, first.at, first.parts, first.welds) == (NOTE.who, NOTE.why, NOTE.at, 2, 1)
    assert first.source == SourceFile("post.step", "step", "a" * 64) and newest.source is None
    assert store.read(lambda c: kept.weldment_version(c, "post")) == newest


def test_what_says_the_same_makes_no_version(store: Store) -> None:
    add(store)
    same = {name: WELDMENT[name] for name in reversed(WELDMENT)} | {"stored": {"id": "other", "version": 9}}
    assert change(store, read_to_store(json.dumps(same))) == StoredChange(
        store.read(lambda c: kept.weldment_version(c, "post")), False
    )


def test_the_fingerprint_is_the_same_in_inches() -> None:
    part = {"id": "rod", "section": {"shape": "round_bar", "diameter": 1}, "length": 2}
    pose = {"at": [0, 0, 0], "along": [1, 0, 0], "up": [0, 0, 1]}
    inch: dict[str, Any] = {"format": "holdwright.weldment/1", "units": "inch", "parts": [{**part, "pose": pose}]}
    mm = {
        **inch,
        "units": "mm",
        "parts": [{**part, "section": {"shape": "round_bar", "diameter": 25.4}, "length": 50.8, "pose": pose}],
    }
    longer = {**mm, "parts": [{**mm["parts"][0], "length": 50.9}]}
    said = [weldment_fingerprint(read_weldment(each)) for each in (inch, mm, longer)]
    assert said[0] == said[1] != said[2]


def test_a_change_is_based_on_the_newest_version(store: Store) -> None:
    add(store)
    change(store, read(name="b"), expected=1)
    with pytest.raises(Stale):
        change(store, read(name="c"), expected=1)
    with pytest.raises(AlreadyThere):
        add(store)
    with pytest.raises(NotFound):
        store.write(lambda c: store_under(c, "gate", read(), NOTE, 1))
    assert store.write(lambda c: store_under(c, "gate", read(), NOTE, None)).version.number == 1


def test_an_id_is_made_of_the_name(store: Store) -> None:
    names = ("Hínge post  50/60", "hinge post 50 60", "", "read")
    made = [add(store, None, read(name=name)).weldment for name in names]
    assert made == ["hinge-post-50-60", "hinge-post-50-60-2", "weldment", "read-2"]


@pytest.mark.parametrize("id", ["", "read", "seams", "a/b", "a@2", "..", "x" * 65, "a\nb"])
def test_ids_that_mean_something_else_are_refused(id: str) -> None:
    assert [fault.pointer for fault in weldment_id_faults(id)] == ["/id"]


def test_lists_are_by_id_and_found_by_id_or_name(store: Store) -> None:
    for id, name in (("gate", "garden gate"), ("post", "Hinge post"), ("rack", "tool rack")):
        add(store, id, read(name=name))

    def listed(*asked: Any) -> list[str]:
        return [each.weldment for each in store.read(lambda c: kept.find_weldments(c, *asked))]

    assert listed() == ["gate", "post", "rack"]
    assert listed("HINGE") == ["post"] and listed("ga") == ["gate"] and listed("%") == []
    assert listed(None, "gate", 1) == ["post"]


def test_requests_name_one_and_are_read_with_it(store: Store) -> None:
    add(store)
    change(store, read(name="taller post"))
    newest, _ = read_request(found(store, {**REQUEST, "weldment": {"id": "post"}}))
    first, _ = read_request(found(store, {**REQUEST, "weldment": {"id": "post", "version": 1}}))
    assert (newest.weldment.name, newest.weldment.stored and newest.weldment.stored.version) == ("taller post", 2)
    assert first.weldment == read_weldment(WELDMENT)
    assert read_weldment(weldment_document(first.weldment)).stored == first.weldment.stored


def test_all_places_of_requests_are_looked_at(store: Store) -> None:
    add(store)
    name: Any = {"weldment": {"id": "post"}, "variants": [{"weldment": {"id": "post", "version": 1}}, {"mirror": "x"}]}
    whole = {**WELDMENT, "stored": {"id": "post", "version": 1, "fingerprint": read().fingerprint}}
    full = {"weldment": whole, "variants": [{"weldment": whole}, {"mirror": "x"}]}
    for asked, answer in (
        ({"requests": [{"request": name, "times": 2}]}, {"requests": [{"request": full, "times": 2}]}),
        ({"jobs": [{"request": name}, {"plan": "p"}]}, {"jobs": [{"request": full}, {"plan": "p"}]}),
        (
            {"requests": {"a": name}, "lines": [{"request": "a"}, {"request": name}]},
            {"requests": {"a": full}, "lines": [{"request": "a"}, {"request": full}]},
        ),
    ):
        assert found(store, asked) == answer


def test_what_is_not_there_is_told_with_what_is(store: Store) -> None:
    add(store)
    asked = {"weldment": {"id": "psot"}, "variants": [{"weldment": {"id": "post", "version": 2}}]}
    assert refused(lambda: found(store, asked)) == [
        ("/weldment/id", "there is no stored weldment 'psot'", "a stored weldment; did you mean 'post'?"),
        ("/variants/0/weldment/version", "stored weldment 'post' has no version 2", "1, or none"),
    ]


def test_a_document_is_the_stored_weldment_it_says_it_is(store: Store) -> None:
    add(store)
    says = {"id": "post", "version": 1, "fingerprint": read().fingerprint}
    other = {**WELDMENT, "name": "another", "stored": says}
    assert refused(lambda: read_request({**REQUEST, "weldment": other}))[0][:2] == (
        "/weldment/stored", "this is not what version 1 of weldment 'post' says",
    )  # fmt: skip
    elsewhere = {**other, "stored": {**says, "fingerprint": read(name="another").fingerprint}}
    read_request({**REQUEST, "weldment": elsewhere})
    assert [fault[0] for fault in refused(lambda: found(store, {"weldment": elsewhere}))] == ["/weldment/stored/fingerprint"]


def test_a_name_without_a_store_is_told_clearly() -> None:
    assert refused(lambda: read_request({**REQUEST, "weldment": {"id": "post"}})) == [
        (
            "/weldment",
            "weldment 'post' is named, and there is no store here to look it up in",
            "a weldment document in full, or --db with the store that keeps it",
        )
    ]
    assert [fault[0] for fault in refused(lambda: read_request({**REQUEST, "weldment": {"id": "post", "verson": 1}}))] == [
        "/weldment/verson"
    ]


def test_a_plan_says_which_version_its_request_meant() -> None:
    plan = {"weldment": {"id": "post", "version": 2, "fingerprint": "a" * 64}}
    assert weldment_as_planned({"weldment": {"id": "post"}}, plan) == {"weldment": {"id": "post", "version": 2}}
    for kept_as_it_is in ({"weldment": {"id": "post", "version": 1}}, {"weldment": {"id": "gate"}}, {"weldment": WELDMENT}):
        assert weldment_as_planned(kept_as_it_is, plan) == kept_as_it_is


def test_what_was_altered_in_the_database_is_found(store: Store) -> None:
    add(store)
    change(store, read(name="taller post"))
    assert store.read(altered_weldments) == (2, [])
    here = stored_weldment_versions.c.number == 1
    store.write(lambda c: c.execute(stored_weldment_versions.update().where(here).values(document=read(name="x").text)))
    assert store.read(altered_weldments) == (2, ["post@1"])
