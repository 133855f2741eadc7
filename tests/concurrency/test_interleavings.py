"""Every interleaving of two sessions of four steps each, on either database.

A session that has to wait for the other does wait: its later steps follow once it may go on, as they would in a shop.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from functools import partial
from itertools import combinations

import pytest
import sqlalchemy as sa

from inventory.availability import Shortage
from inventory.errors import StoreError
from inventory.reservations import Returned
from inventory.store import Store, counts, finding, reservations
from inventory.store.engine import writing
from inventory.store.finding import Wanted
from inventory.store.transactions import take_turn
from tests.shelf import a_store, an_order, by

SCHEDULES = [tuple("a" if place in places else "b" for place in range(8)) for places in combinations(range(8), 4)]
_SOME_OR_ALL = pytest.mark.parametrize(
    "schedules", [SCHEDULES[::3], pytest.param(SCHEDULES, marks=pytest.mark.slow)], ids=["some", "all"]
)
"""Every third in a plain run, the first and the last among them: one caller before the other."""
TUESDAY = date(2027, 3, 2)


@pytest.fixture
def store(database: str) -> Iterator[Store]:
    opened = a_store(database, {"riser-75": 6})
    yield opened
    opened.close()


def test_there_are_seventy_of_them() -> None:
    assert len(set(SCHEDULES)) == 70


class Session:
    """A caller in a thread of its own, taking its steps when told to."""

    def __init__(self, steps: Sequence[Callable[[], None]]) -> None:
        self._steps, self._told, self.done = steps, queue.Queue[threading.Event](), 0
        self._untaken: list[threading.Event] = []
        self.refused: StoreError | None = None
        self._thread = threading.Thread(target=self._run)
        self._thread.start()

    def _run(self) -> None:
        for step in self._steps:
            taken = self._told.get()
            try:
                if self.refused is None:
                    step()
            except StoreError as error:
                self.refused = error
            finally:
                self.done += 1
                taken.set()

    @property
    def writing(self) -> bool:
        """Whether it has taken its turn to write and not yet given it up."""
        return self.done in (2, 3) and self.refused is None

    @property
    def at_the_door(self) -> bool:
        """Whether its next untaken step is to take its turn."""
        return self.done == 1 and bool(self._untaken)

    def tell(self) -> None:
        """Let it take one more step."""
        self._untaken.append(threading.Event())
        self._told.put(self._untaken[-1])

    def see_through(self) -> None:
        """Wait until it has taken every step it was told to."""
        for taken in self._untaken:
            assert taken.wait(30), "the sessions wait for each other"
        self._untaken.clear()


def play(
    schedule: Sequence[str], a: Sequence[Callable[[], None]], b: Sequence[Callable[[], None]], *, turns: bool = True
) -> tuple[Session, Session]:
    """Let two sessions take their steps in the order of the schedule; with `turns`, their second steps take the turn to write."""
    sessions = {"a": Session(a), "b": Session(b)}
    for name in schedule:
        session, other = sessions[name], sessions["b" if name == "a" else "a"]
        session.tell()
        if not (turns and session.at_the_door and other.writing and session.refused is None):
            session.see_through()
        if not session.writing:
            other.see_through()
    for session in sessions.values():
        session.see_through()
    return sessions["a"], sessions["b"]


class Promise:
    """What `Store.reserve` does, one step at a time: look, take the turn, check again and write, commit."""

    def __init__(self, store: Store, pieces: int) -> None:
        self.store, self.order = store, an_order(2, riser_75=pieces)
        self.connection: sa.Connection | None = None

    def steps(self) -> Sequence[Callable[[], None]]:
        return self.look, self.take_turn, self.write, self.commit

    def look(self) -> None:
        self.store.read(lambda c: reservations.refuse_short(c, self.order.pieces, self.order.span, None))

    def take_turn(self) -> None:
        self.connection = writing(self.store.engine).connect()
        self.connection.begin()
        take_turn(self.connection)

    def write(self) -> None:
        assert self.connection is not None
        try:
            reservations.reserve(self.connection, self.order, by())
        except StoreError:
            self.connection.close()
            raise

    def commit(self) -> None:
        assert self.connection is not None
        self.connection.commit()
        self.connection.close()


class Recount(Promise):
    """A recount, one step at a time, that leaves fewer pieces than there were."""

    def look(self) -> None:
        self.store.read(lambda c: counts.line(c, "riser-75"))

    def write(self) -> None:
        assert self.connection is not None
        counts.recount(self.connection, "riser-75", self.order.pieces["riser-75"], by())


@_SOME_OR_ALL
def test_two_that_cannot_both_have_it(store: Store, schedules: Sequence[tuple[str, ...]]) -> None:
    for schedule in schedules:
        a, b = play(schedule, Promise(store, 4).steps(), Promise(store, 4).steps())
        refused = [each.refused for each in (a, b) if each.refused is not None]
        assert len(refused) == 1 and isinstance(refused[0], Shortage), schedule
        (granted,) = store.read(lambda c: finding.find(c, Wanted(states=("reserved",))))
        assert granted.lines[0].pieces == 4
        store.write(partial(reservations.release, number=granted.id, note=by()))


@_SOME_OR_ALL
def test_two_that_can(store: Store, schedules: Sequence[tuple[str, ...]]) -> None:
    for schedule in schedules:
        a, b = play(schedule, Promise(store, 4).steps(), Promise(store, 2).steps())
        assert (a.refused, b.refused) == (None, None), schedule
        granted = store.read(lambda c: finding.find(c, Wanted(states=("reserved",))))
        assert sorted(each.lines[0].pieces for each in granted) == [2, 4]
        for each in granted:
            store.write(partial(reservations.release, number=each.id, note=by()))


@_SOME_OR_ALL
def test_a_promise_and_a_recount(store: Store, schedules: Sequence[tuple[str, ...]]) -> None:
    for schedule in schedules:
        a, b = play(schedule, Promise(store, 4).steps(), Recount(store, 3).steps())
        assert b.refused is None, schedule
        granted = store.read(lambda c: finding.find(c, Wanted(states=("reserved",))))
        assert (a.refused is None) == bool(granted), schedule
        assert store.read(lambda c: counts.line(c, "riser-75")).count == 3
        # Whoever reserves after the recount finds too few; before it, enough.
        if schedule.index("a") > max(place for place, name in enumerate(schedule) if name == "b"):
            assert isinstance(a.refused, Shortage), schedule
        if schedule.index("b") > max(place for place, name in enumerate(schedule) if name == "a"):
            assert a.refused is None, schedule
        for each in granted:
            store.write(partial(reservations.release, number=each.id, note=by()))
        store.write(lambda c: counts.recount(c, "riser-75", 6, by()))


@_SOME_OR_ALL
def test_two_whole_lives_of_a_kit(store: Store, schedules: Sequence[tuple[str, ...]]) -> None:
    """Reserve, hand out, return in part with one broken, return the rest: four calls each, 3 and 4 of 6 pieces."""

    class Life:
        def __init__(self, pieces: int) -> None:
            self.pieces, self.number = pieces, 0

        def steps(self) -> Sequence[Callable[[], None]]:
            return self.reserve, self.hand_out, self.part, self.rest

        def reserve(self) -> None:
            self.number = store.reserve(an_order(2, riser_75=self.pieces), by()).id

        def hand_out(self) -> None:
            store.write(lambda c: reservations.hand_out(c, self.number, by(), TUESDAY))

        def part(self) -> None:
            store.write(lambda c: reservations.take_back(c, self.number, {"riser-75": Returned(whole=1, broken=1)}, by()))

        def rest(self) -> None:
            store.write(lambda c: reservations.take_back(c, self.number, None, by()))

    for schedule in schedules:
        one, other = Life(3), Life(4)
        by_hand = replayed(schedule, {"a": 3, "b": 4})
        a, b = play(schedule, one.steps(), other.steps(), turns=False)
        assert {name for name, each in (("a", a), ("b", b)) if each.refused is None} == by_hand, schedule
        line = store.read(lambda c: counts.line(c, "riser-75"))
        assert (line.count, line.out_of_service) == (6, len(by_hand)), schedule
        assert store.snapshot(an_order(2, riser_75=1).span).free("riser-75") == 6 - len(by_hand)
        if line.out_of_service:
            store.write(partial(counts.repair, item="riser-75", pieces=line.out_of_service, note=by()))


def replayed(schedule: Sequence[str], wanted: dict[str, int]) -> set[str]:
    """Work the two lives out on paper: who is granted the pieces, with 6 on the shelf and one breaking at each third step."""
    usable, held, at, granted = 6, {"a": 0, "b": 0}, {"a": 0, "b": 0}, set()
    for name in schedule:
        at[name] += 1
        if at[name] == 1 and usable - sum(held.values()) >= wanted[name]:
            held[name] = wanted[name]
            granted.add(name)
        if name in granted and at[name] == 3:
            held[name] -= 2
            usable -= 1
        if name in granted and at[name] == 4:
            held[name] = 0
    return granted
