"""The table of jobs: who works on what, once only, and what becomes of it when somebody dies. On both databases."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from inventory.errors import Fault
from inventory.store import Readers, Store, open_store
from inventory.store.errors import KeyReused
from service.documents import read_item, read_table
from service.errors import QueueFull
from service.records.job import PRIORITIES, Failure, Job, Priority, State, WantedJobs
from service.records.job_figures import AnswerFigures, AskedFigures
from service.records.job_leases import HeldJobs
from service.records.jobs import Followed, JobRecords, as_text
from service.records.schema import plan_jobs
from tests.databases import database

__all__ = ["database"]
NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)


class Shop:
    """A store, and a clock the test turns."""

    def __init__(self, url: str) -> None:
        self.store: Store = open_store(url, Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d))))
        self.at = NOON

    def records(self, owner: str) -> JobRecords:
        return JobRecords(self.store, owner, lease_s=10, key_hours=24, clock=lambda: self.at).create()

    def later(self, **time: float) -> None:
        self.at += timedelta(**time)


@pytest.fixture
def shop(database: str) -> Iterator[Shop]:
    opened = Shop(database)
    yield opened
    opened.store.close()


def job(id: str, at: datetime = NOON) -> Job:
    return Job(id, "queued", at, '{"name": "Stütze"}', ("odd",))


def test_a_job_comes_back_as_it_was_saved(shop: Shop) -> None:
    records = shop.records("one")
    records.add(job("a"), None, "", 5)
    assert records.get("a") == job("a")
    assert records.get("b") is None


def test_jobs_are_taken_up_oldest_first_and_by_one_server_only(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    for minutes, id in ((2, "late"), (0, "early"), (1, "middle")):
        one.add(job(id, NOON + timedelta(minutes=minutes)), None, "", 5)
    taken = [records.leases.claim() for records in (one, two, one, two)]
    assert [each and each.id for each in taken] == ["early", "middle", "late", None]
    assert taken[0] is not None
    assert (taken[0].state, taken[0].attempts, taken[0].started_at) == ("running", 1, NOON)


def test_many_servers_never_take_the_same_job(shop: Shop) -> None:
    records = [shop.records(f"server-{k}") for k in range(6)]
    for k in range(30):
        records[0].add(job(f"j{k}"), None, "", 100)
    taken: list[str] = []

    def work(mine: JobRecords) -> None:
        while (found := mine.leases.claim()) is not None:
            taken.append(found.id)
            mine.leases.finish(found.id, "done", {"status": "optimal"})

    threads = [threading.Thread(target=work, args=(each,)) for each in records]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(taken) == sorted(f"j{k}" for k in range(30))
    assert records[0].counts() == {"queued": 0, "running": 0, "done": 30, "failed": 0, "cancelled": 0}


def test_a_job_is_free_again_when_its_servers_lease_has_run_out(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    one.add(job("a"), None, "", 5)
    assert one.leases.claim() is not None
    shop.later(seconds=9)
    assert two.leases.claim() is None
    one.leases.renew(["a"])
    shop.later(seconds=9)
    assert two.leases.claim() is None, "renewed"
    shop.later(seconds=2)
    again = two.leases.claim()
    assert again is not None
    assert again.attempts == 2
    assert not one.leases.finish("a", "done", {"status": "optimal"})
    assert not one.leases.add_events("a", [{"gap": 1}])
    assert one.leases.held().jobs == frozenset()
    assert records_state(two, "a") == "running", "the first server has lost it"
    failure = Failure("invalid", "the request no longer fits the stock", (Fault("/tables/0", "there is no table", "T1"),))
    assert two.leases.finish("a", "failed", failure=failure, events=[{"gap": 0.5}])
    found = two.get("a")
    assert found is not None
    assert (found.state, found.failure, found.progress, found.plan) == ("failed", failure, {"gap": 0.5}, None)


def test_a_server_that_stops_in_order_gives_its_jobs_back_as_new(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    for id in ("a", "b"):
        one.add(job(id), None, "", 5)
        one.leases.claim()
    one.leases.finish("b", "done", {"status": "optimal"})
    for id in ("a", "b"):
        one.leases.give_back(id)
    assert records_state(one, "b") == "done"
    again = two.leases.claim()
    assert again is not None
    assert (again.id, again.attempts) == ("a", 1)


def test_the_same_key_and_body_are_one_job_for_a_day(shop: Shop) -> None:
    records = shop.records("one")
    first = records.add(job("a"), "key", "body", 5)
    assert records.add(job("b"), "key", "body", 5) == first
    with pytest.raises(KeyReused):
        records.add(job("c"), "key", "other body", 5)
    shop.later(hours=23.9)
    assert records.add(replace(job("d"), created_at=shop.at), "key", "body", 5).id == "a"
    shop.later(hours=0.2)
    assert records.add(replace(job("e"), created_at=shop.at), "key", "other body", 5).id == "e"
    assert records.get("b") is None


def test_only_so_many_jobs_wait(shop: Shop) -> None:
    records = shop.records("one")
    records.add(job("a"), None, "", 2)
    records.add(job("b"), "key", "body", 2)
    with pytest.raises(QueueFull):
        records.add(job("c"), None, "", 2)
    assert records.add(job("d"), "key", "body", 2).id == "b", "a repeated call finds its job even then"
    records.leases.claim()
    assert records.add(job("c"), None, "", 2).id == "c"


def test_cancelling_ends_what_waits_and_marks_what_runs(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    for id in ("runs", "waits"):
        one.add(job(id), None, "", 5)
        if id == "runs":
            one.leases.claim()
    for id, state in (("runs", "running"), ("waits", "cancelled")):
        cancelled = two.ask_cancel(id)
        assert cancelled is not None
        assert (cancelled.state, cancelled.cancel_asked) == (state, True)
    assert one.leases.held() == HeldJobs(frozenset({"runs"}), frozenset({"runs"})), "the server that runs it finds it there"
    assert two.leases.held().jobs == frozenset()
    assert one.leases.claim() is None
    one.leases.finish("runs", "cancelled", {"status": "feasible"})
    finished = one.ask_cancel("runs")
    assert finished is not None
    assert finished.plan == {"status": "feasible"}
    assert one.ask_cancel("nobody") is None


def test_progress_is_numbered_and_its_newest_event_stands_with_the_job(shop: Shop) -> None:
    records = shop.records("one")
    records.add(job("a"), None, "", 5)
    assert not records.leases.add_events("a", [{"gap": 1}]), "it does not run yet"
    records.leases.claim()
    assert records.leases.add_events("a", [{"gap": 0.7}, {"gap": 0.5}])
    assert (records.get("a") or job("")).progress == {"gap": 0.5}
    assert records.follow("a", 0) == Followed("running", None, ({"gap": 0.7}, {"gap": 0.5}))
    assert records.leases.finish("a", "done", {"status": "optimal"}, events=[{"gap": 0}])
    assert records.follow("a", 1) == Followed("done", "optimal", ({"gap": 0.5}, {"gap": 0}))
    assert records.follow("a") == Followed("done", "optimal", ())
    assert records.follow("b", 0) is None
    assert (records.get("a") or job("")).progress == {"gap": 0}


def test_the_progress_of_a_second_start_follows_that_of_the_first(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    one.add(job("a"), None, "", 5)
    one.leases.claim()
    one.leases.add_events("a", [{"gap": 0.7}])
    shop.later(seconds=11)
    two.leases.claim()
    two.leases.add_events("a", [{"gap": 0.9}])
    followed = one.follow("a", 0)
    assert followed is not None and followed.events == ({"gap": 0.7}, {"gap": 0.9})


def test_the_most_urgent_comes_first_then_the_oldest(shop: Shop) -> None:
    records = shop.records("one")
    asked: tuple[tuple[str, int, Priority], ...] = (
        ("batch-early", 0, "batch"), ("urgent-late", 3, "interactive"), ("batch-late", 2, "batch"), ("urgent", 1, "interactive")
    )  # fmt: skip
    for id, minutes, priority in asked:
        records.add(replace(job(id, NOON + timedelta(minutes=minutes)), priority=PRIORITIES[priority]), None, "", 5)
    assert {each.id: each.priority for each in records.leases.waiting()}["batch-late"] == 0
    taken = [records.leases.claim() for _ in range(4)]
    assert [each and each.id for each in taken] == ["urgent", "urgent-late", "batch-early", "batch-late"]


def test_a_job_is_claimed_by_its_id_only_while_it_is_free(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    one.add(job("a"), None, "", 5)
    one.add(job("b"), None, "", 5)
    claimed = one.leases.claim("b")
    assert claimed is not None and claimed.id == "b"
    assert two.leases.claim("b") is None and two.leases.claim("nobody") is None
    shop.later(seconds=11)
    again = two.leases.claim("b")
    assert again is not None and again.attempts == 2


def test_a_job_started_often_enough_fails_with_the_number_of_its_starts(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    one.add(job("a"), None, "", 5)
    for records in (one, two):
        assert records.leases.claim() is not None
        shop.later(seconds=11)
    assert one.leases.claim() is None and one.leases.waiting() == ()
    (closed,) = one.leases.close_lost()
    assert (closed.state, closed.attempts) == ("failed", 2)
    assert closed.failure == Failure("interrupted", "it was started 2 times, and each time the process that ran it ended")
    assert one.leases.close_lost() == ()


def test_a_lost_job_that_was_to_stop_is_cancelled_and_not_started_again(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    one.add(job("a"), None, "", 5)
    one.leases.claim()
    two.ask_cancel("a")
    shop.later(seconds=11)
    assert two.leases.claim() is None
    assert [each.state for each in two.leases.close_lost()] == ["cancelled"]


def test_a_job_given_back_that_was_to_stop_is_cancelled(shop: Shop) -> None:
    one = shop.records("one")
    one.add(job("a"), None, "", 5)
    one.leases.claim()
    one.ask_cancel("a")
    one.leases.give_back("a")
    assert records_state(one, "a") == "cancelled"


@pytest.mark.parametrize(
    ("state", "plan", "found"),
    [
        ("done", {"status": "optimal", "stopped_by": "proof"}, True),
        ("done", {"status": "infeasible", "stopped_by": "proof"}, True),
        ("done", {"status": "feasible", "stopped_by": "time"}, True),
        ("done", {"status": "feasible", "stopped_by": "cancel"}, False),
        ("done", {"status": "unknown", "stopped_by": "time"}, False),
        ("cancelled", {"status": "feasible", "stopped_by": "time"}, False),
        ("failed", {"status": "feasible", "stopped_by": "time"}, False),
    ],
)
def test_only_an_answer_to_the_end_is_used_again(shop: Shop, state: State, plan: dict[str, str], found: bool) -> None:
    records = shop.records("one")
    records.add(job("a"), None, "", 5)
    records.leases.claim()
    records.leases.finish("a", state, plan, content="of-this")
    assert records.answered("of-that") is None
    answer = records.answered("of-this")
    assert (answer is not None and answer.id == "a") == found


def test_an_answered_job_waits_for_nothing(shop: Shop) -> None:
    records = shop.records("one")
    records.add(job("a"), None, "", 1)
    answered = replace(job("b"), state="done", finished_at=NOON, plan={"status": "optimal"}, answered_from="z", name="Stütze")
    assert records.add(answered, "key", "body", 1) == records.get("b") == answered


def records_state(records: JobRecords, id: str) -> str:
    found = records.get(id)
    assert found is not None
    return found.state


def asked(id: str, **more: object) -> Job:
    request = {"quantity": 40, "needed": {"from": "2027-03-01", "to": "2027-03-03"}, **more}
    return Job(id, "queued", NOON, as_text(request))


def priced(total_cents: int, buy: int = 0) -> dict[str, object]:
    best = {"rank": 1, "cost": {"total_cents": total_cents}, "kit": [{"item": "stop-60", "count": 4, "buy": buy}]}
    return {"status": "feasible", "gap": 0.016, "alternatives": [best]}


BUY = {"do": "buy", "item": "stop-60", "count": 2, "also": [{"item": "rest-40", "count": 1}]}
REFUSED = {"status": "infeasible", "alternatives": [], "refused": {"because": [], "would_help": [{"do": "relax"}, BUY]}}


def listed(records: JobRecords, *ids: str) -> list[tuple[AskedFigures, AnswerFigures]]:
    return [(each.asked, each.answer) for each in sorted(records.summaries(ids), key=lambda each: each.id)]


def test_a_list_has_quantity_days_price_gap_and_what_is_short(shop: Shop) -> None:
    records = shop.records("one")
    for id in ("a", "b", "c"):
        records.add(asked(id), None, "", 9)
    for id, plan in (("a", priced(14233, buy=3)), ("b", REFUSED)):
        assert records.leases.claim(id) is not None
        records.leases.finish(id, "done", plan)
    wanted = AskedFigures(40, date(2027, 3, 1), date(2027, 3, 3))
    assert listed(records, "a", "b", "c") == [
        (wanted, AnswerFigures(14233, 0.016, 3)),
        (wanted, AnswerFigures(pieces_short=3)),
        (wanted, AnswerFigures()),
    ]
    assert [each.id for each in records.find(WantedJobs(status="infeasible"), None, 9)] == ["b"]


def test_a_job_answered_at_once_has_its_figures_too(shop: Shop) -> None:
    records = shop.records("one")
    records.add(replace(asked("a"), state="done", plan=priced(500), finished_at=NOON), None, "", 9)
    assert listed(records, "a")[0][1] == AnswerFigures(500, 0.016, 0)


def test_figures_of_jobs_older_than_their_columns_are_taken_from_the_documents(shop: Shop) -> None:
    records = shop.records("one")
    records.add(replace(asked("a"), state="done", plan=priced(500, buy=1), finished_at=NOON), None, "", 9)
    empty = dict.fromkeys(("quantity", "needed_from", "needed_to", "total_cents", "gap", "pieces_short"))
    with shop.store.engine.begin() as connection:
        connection.execute(plan_jobs.update().values(empty))
    assert listed(records, "a") == [(AskedFigures(40, date(2027, 3, 1), date(2027, 3, 3)), AnswerFigures(500, 0.016, 1))]


def test_the_best_plan_so_far_is_seen_by_others_while_the_job_runs(shop: Shop) -> None:
    records = shop.records("one")
    records.add(asked("a"), None, "", 9)
    assert records.leases.claim("a") is not None and records.best_so_far("a") is None
    assert records.leases.add_events("a", [{"gap": 0.5}], {"rank": 1, "title": "dear"})
    assert records.leases.add_events("a", [], {"rank": 1, "title": "cheaper"}), "nothing else is new"
    other = shop.records("two")
    assert other.best_so_far("a") == {"rank": 1, "title": "cheaper"}
    assert not other.leases.add_events("a", [], {"rank": 1, "title": "not its own"})
    job = other.get("a")
    assert job is not None and job.progress == {"gap": 0.5}
    records.leases.finish("a", "done", priced(500))
    assert records.best_so_far("a") is None


def test_a_job_given_back_or_lost_begins_with_no_best_plan(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    one.add(asked("a"), None, "", 9)
    assert one.leases.claim("a") is not None and one.leases.add_events("a", [], {"rank": 1})
    one.leases.give_back("a")
    assert one.best_so_far("a") is None
    assert one.leases.claim("a") is not None and one.leases.add_events("a", [], {"rank": 1})
    shop.later(seconds=11)
    assert two.leases.claim("a") is not None and two.best_so_far("a") is None


def test_a_request_is_had_without_its_plan(shop: Shop) -> None:
    records = shop.records("one")
    records.add(asked("a"), None, "", 9)
    records.add(replace(asked("b"), kind="advice"), None, "", 9)
    assert records.request_of("a") == asked("a").request
    assert [records.request_of(id) for id in ("b", "c", "\0")] == [None, None, None]
