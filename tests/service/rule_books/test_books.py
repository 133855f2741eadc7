"""Rule books of a shop and its customers: every change is a version, and what a version says never changes: on both databases."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from inventory.store import Connection, Note, Store, open_store
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import AlreadyThere, NotFound, Stale
from service.documents.rules import read_rules, settled_rules
from service.records import rule_books as kept
from service.records.jobs import JobRecords
from service.records.schema import rule_book_uses, rule_book_versions, rule_books
from service.rule_books.chain import LONGEST_CHAIN, chain_of, resolved_rules
from service.rule_books.changes import BookChange, ChangedBook, add_version, behind, make_book, use_book
from service.rule_books.reading import also, known_books, resolved_book
from solver.rule_book import VALUES
from tests.databases import KINDS, new_database
from tests.shelf import READERS

NOTE = Note("the engineer", datetime(2027, 3, 1, 12, tzinfo=UTC), "labour costs more")
RATE, ADJUSTABLE = "rate.labour_cents_per_hour", "weights.adjustable"


@pytest.fixture(scope="module", params=KINDS)
def one_store(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    opened = open_store(new_database(request.param, tmp_path_factory.mktemp("books")), READERS)
    JobRecords(opened, "tests", 10, 24).create()
    yield opened
    opened.close()


@pytest.fixture
def store(one_store: Store) -> Store:
    """A store without books."""

    def empty(connection: Connection) -> None:
        for table in (rule_book_uses, rule_book_versions, rule_books):
            connection.execute(table.delete())

    one_store.write(empty)
    return one_store


def make(store: Store, name: str, kind: Any = "shop", **change: Any) -> ChangedBook:
    return store.write(lambda c: make_book(c, name, kind, BookChange(**change), NOTE))


def change(store: Store, name: str, expected: int = ANY_VERSION, follow: bool = False, **changed: Any) -> ChangedBook:
    return store.write(lambda c: add_version(c, name, BookChange(**changed), NOTE, expected, follow))


def use(store: Store, name: str, number: int | None = None, expected: int = ANY_VERSION) -> None:
    store.write(lambda c: use_book(c, name, number, NOTE, expected))


def refused(act: Any) -> list[tuple[str, str]]:
    with pytest.raises(InvalidDocument) as refusal:
        act()
    return [(fault.pointer, fault.wrong) for fault in refusal.value.faults]


def three_books(store: Store) -> None:
    """A shop's book at version 2, and a customer's that starts from version 1 of it."""
    make(store, "shop", set={RATE: 6000, "clear.weld": 20})
    use(store, "shop")
    make(store, "acme", "customer", set={ADJUSTABLE: 50, "clear.weld": 25})
    change(store, "shop", set={RATE: 7200})


def test_a_value_comes_from_the_nearest_book_that_sets_it(store: Store) -> None:
    three_books(store)
    rules = store.read(lambda c: {r.name: r for r in resolved_rules(chain_of(c, kept.book_version(c, "acme")))})
    assert [(s.book, s.version, s.value) for s in rules["clear.weld"].steps] == [
        ("default", 1, VALUES["clear.weld"].default), ("shop", 1, 20), ("acme", 1, 25),
    ]  # fmt: skip
    assert (rules[RATE].book, rules[RATE].version, rules[RATE].value) == ("shop", 1, 6000)
    assert (rules["fit.overlap"].book, rules["fit.overlap"].value) == ("default", VALUES["fit.overlap"].default)
    book = store.read(lambda c: resolved_book(c, "acme"))
    assert {name: book[name] for name in VALUES} == {name: rule.value for name, rule in rules.items()}


def test_a_later_version_of_the_base_changes_no_version_that_is_there(store: Store) -> None:
    three_books(store)
    assert store.read(lambda c: resolved_book(c, "acme"))[RATE] == 6000
    assert store.read(lambda c: resolved_book(c, "shop", 1))[RATE] == 6000
    assert store.read(lambda c: resolved_book(c, "shop"))[RATE] == 7200
    assert [each.book for each in store.read(lambda c: behind(c, "shop"))] == ["acme"]


def test_books_that_start_from_it_follow_if_that_is_wanted(store: Store) -> None:
    three_books(store)
    make(store, "acme abroad", "customer", base="acme", set={ADJUSTABLE: 60})
    done = change(store, "shop", set={RATE: 8000}, follow=True)
    assert [(each.book, each.number, each.base_version) for each in done.followed] == [("acme", 2, 3), ("acme abroad", 2, 2)]
    assert store.read(lambda c: resolved_book(c, "acme abroad"))[RATE] == 8000
    assert store.read(lambda c: resolved_book(c, "acme abroad", 1))[RATE] == 6000
    assert done.behind == ()


def test_every_version_has_who_when_and_why(store: Store) -> None:
    three_books(store)
    versions = store.read(lambda c: kept.book_versions(c, "shop"))
    assert [(each.number, each.by, each.why, each.at) for each in versions] == [
        (number, NOTE.who, NOTE.why, NOTE.at) for number in (2, 1)
    ]
    assert refused(lambda: store.write(lambda c: add_version(c, "shop", BookChange({RATE: 1}), replace(NOTE, why=" "), 2))) == [
        ("/why", "no reason is given")
    ]


def test_a_rule_is_as_in_the_base_again(store: Store) -> None:
    three_books(store)
    change(store, "acme", unset=("clear.weld",))
    assert store.read(lambda c: resolved_book(c, "acme"))["clear.weld"] == 20
    assert refused(lambda: change(store, "acme", unset=("clear.weld",))) == [
        ("/unset/0", "'clear.weld' is not set in rule book 'acme'")
    ]


def test_no_book_starts_from_itself(store: Store) -> None:
    three_books(store)
    assert refused(lambda: change(store, "shop", base="acme")) == [
        ("/base", "the book would start from itself: 'shop' -> 'acme' -> 'shop'")
    ]
    assert refused(lambda: change(store, "shop", base="shop")) == [
        ("/base", "the book would start from itself: 'shop' -> 'shop'")
    ]
    change(store, "acme", base="default")
    change(store, "shop", base="acme")  # now nothing of acme comes from it
    assert refused(lambda: change(store, "acme", base="shop", base_number=1))[0][0] == "/base"


def test_no_book_comes_to_start_from_itself_by_following(store: Store) -> None:
    make(store, "shop")
    make(store, "acme")
    make(store, "mid", base="acme")
    change(store, "mid", base="default")
    change(store, "acme", base="shop")
    assert refused(lambda: change(store, "shop", base="mid", base_number=1, follow=True)) == [
        ("/base", "the book would start from itself: 'acme' -> 'shop' -> 'mid' -> 'acme'")
    ]
    assert [each.number for each in store.read(lambda c: kept.book_versions(c, "shop"))] == [1], "nothing of it was written"


def test_chains_are_short(store: Store) -> None:
    make(store, "1", set={RATE: 6000})
    for number in range(2, LONGEST_CHAIN + 1):
        make(store, str(number), base=str(number - 1))
    assert refused(lambda: make(store, "one too many", base=str(LONGEST_CHAIN)))[0][0] == "/base"


def test_what_is_refused_is_said_with_what_would_be_accepted(store: Store) -> None:
    three_books(store)
    assert refused(lambda: change(store, "shop", set={"clear.weldd": 1})) == [
        ("/set/clear.weldd", "there is no rule 'clear.weldd'")
    ]
    assert refused(lambda: change(store, "shop", set={"clear.weld": -1})) == [("/set/clear.weld", "-1 is out of range")]
    assert refused(lambda: change(store, "shop", base="shopp")) == [("/base", "there is no rule book 'shopp'")]
    assert refused(lambda: change(store, "acme", base="shop", base_number=9)) == [
        ("/base_version", "rule book 'shop' has no version 9")
    ]
    assert refused(lambda: change(store, "shop", set={RATE: 7200})) == [("/set", "changes nothing of version 2")]
    assert refused(lambda: use(store, "acme"))[0][0] == "/book"
    assert refused(lambda: use(store, "shop", 3)) == [("/version", "rule book 'shop' has no version 3")]
    for name in ("default", "in-use", "a/b", "a@1", "", ".."):
        assert refused(lambda name=name: make(store, name))[0][0] == "/name"
    with pytest.raises(AlreadyThere):
        make(store, "shop")
    with pytest.raises(NotFound):
        change(store, "shopp", set={RATE: 1})


def test_of_two_at_once_one_is_told_that_it_was_changed(store: Store) -> None:
    three_books(store)
    outcomes: list[str] = []
    begin = threading.Barrier(2)

    def one(value: int) -> None:
        begin.wait()
        try:
            outcomes.append(f"version {change(store, 'shop', 2, set={RATE: value}).version.number}")
        except Stale:
            outcomes.append("changed meanwhile")

    threads = [threading.Thread(target=one, args=(value,)) for value in (8000, 9000)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert sorted(outcomes) == ["changed meanwhile", "version 3"]
    assert [each.number for each in store.read(lambda c: kept.book_versions(c, "shop"))] == [3, 2, 1]


def test_requests_start_from_the_book_in_use_unless_they_name_one(store: Store) -> None:
    three_books(store)
    books = known_books(store, [("shop", 1), ("acme", None)])

    def rate(**rules: Any) -> float:
        return read_rules({"format": "holdwright.rules/1", "set": {}, **rules}, books)[RATE]

    assert (rate(), rate(base="shop", version=1), rate(base="acme")) == (7200, 6000, 6000)
    assert rate(base="default") == VALUES[RATE].default
    assert rate(base="acme", set={RATE: 1}) == 1
    use(store, "shop", 1)
    assert known_books(store).in_use[RATE] == 6000
    use(store, "default")
    assert known_books(store).in_use[RATE] == VALUES[RATE].default


def test_settled_rules_need_no_store(store: Store) -> None:
    three_books(store)
    books = known_books(store)
    written = settled_rules({"set": {ADJUSTABLE: 60}}, books)
    assert written is not None
    assert read_rules(written) == read_rules({"format": "holdwright.rules/1", "set": {ADJUSTABLE: 60}}, books)
    assert (written["base"], written["version"], written["set"]) == ("shop", 2, {ADJUSTABLE: 60})
    again = also(store, books, books.not_found_yet([("shop", 2)]))
    assert settled_rules(written, again) == written
    assert refused(lambda: read_rules({**written, "base_set": {RATE: 1}}, again)) == [
        ("/base_set", "version 2 of rule book 'shop' says something else")
    ]
    assert settled_rules({"base": "default"}, books) is None


def test_a_book_that_is_not_there_is_refused_with_the_nearest(store: Store) -> None:
    three_books(store)
    books = known_books(store)
    with pytest.raises(InvalidDocument) as refusal:
        read_rules({"format": "holdwright.rules/1", "base": "shopp", "set": {"clear.weld": -1}}, books)
    assert [(f.pointer, f.accepted) for f in refusal.value.faults] == [
        ("/base", "a rule book; did you mean 'shop'?"), ("/set/clear.weld", "0 to 200 mm"),
    ]  # fmt: skip
    assert refused(lambda: read_rules({"format": "holdwright.rules/1", "base": "shop", "version": 3}, books)) == [
        ("/version", "rule book 'shop' has no version 3")
    ]
