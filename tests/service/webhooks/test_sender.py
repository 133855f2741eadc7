"""Messages on their way: sent when due, again by the schedule, by one server at a time, until they arrive or are given up."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
import standardwebhooks

from inventory.store import Readers, Store, open_store
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import Unreachable
from service.documents import read_item, read_table
from service.records.announcements import announce
from service.records.deliveries import Delivery, DeliveryRecords, add_test, find_deliveries, send_again
from service.records.jobs import JobRecords
from service.records.webhooks import Webhook, add_webhook, change_webhook, find_webhooks, remove_webhook, webhook
from service.webhooks.posting import MessagePost, PostResult
from service.webhooks.schedule import DELAYS_S
from service.webhooks.sender import Sender
from service.webhooks.signing import new_secret
from tests.databases import KINDS, new_database
from tests.service.webhooks.receiver import receiving

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)
LEASE_S = 50.0


class Office:
    """A store with webhooks, a clock the test turns, and senders whose posts it answers."""

    def __init__(self, url: str) -> None:
        self.store: Store = open_store(url, Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d))))
        JobRecords(self.store, "tests", 10, 24).create()
        self.at = NOON
        self.answers: list[PostResult] = []
        self.posted: list[tuple[str, Mapping[str, str], bytes]] = []

    def emptied(self) -> Office:
        for hook in self.store.read(find_webhooks):
            self.store.write(partial(remove_webhook, id=hook.id, expected=ANY_VERSION))
        self.at, self.answers, self.posted = NOON, [], []
        return self

    def add(self, url: str = "https://erp.example/") -> Webhook:
        return self.store.write(lambda c: add_webhook(c, url, ["plan.done"], new_secret(), self.at))

    def tell(self, number: int = 1) -> None:
        self.store.write(lambda c: announce(c, "plan.done", {"id": f"p{number}"}, self.at))

    def post(self, url: str, headers: Mapping[str, str], body: bytes) -> PostResult:
        self.posted.append((url, headers, body))
        return self.answers.pop(0) if self.answers else PostResult(204)

    def sender(self, post: Callable[[str, Mapping[str, str], bytes], PostResult] | None = None) -> Sender:
        """Return a server's sender that has just started: it remembers no failures."""
        return Sender(DeliveryRecords(self.store, LEASE_S, lambda: self.at), post or self.post)

    def messages(self, of: Webhook) -> list[Delivery]:
        return self.store.read(lambda c: find_deliveries(c, of.id))

    def there(self, of: Webhook) -> Webhook:
        return self.store.read(lambda c: webhook(c, of.id))


@pytest.fixture(scope="module", params=KINDS)
def kept_open(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    opened = Office(new_database(request.param, tmp_path_factory.mktemp("office")))
    yield opened
    opened.store.close()


@pytest.fixture
def office(kept_open: Office) -> Office:
    """An office without webhooks, on either database."""
    return kept_open.emptied()


@pytest.fixture(scope="module")
def small_kept_open(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    opened = Office(new_database("sqlite", tmp_path_factory.mktemp("small")))
    yield opened
    opened.store.close()


@pytest.fixture
def small(small_kept_open: Office) -> Office:
    """The same on SQLite alone, for what has nothing to do with the database."""
    return small_kept_open.emptied()


def test_a_message_arrives_over_the_wire_and_the_reference_library_accepts_it(small: Office) -> None:
    with receiving() as receiver:
        hook = small.add(receiver.url)
        small.tell()
        assert small.sender(MessagePost(5, True)).send_due() == 1
    (heard,) = receiver.heard
    read = standardwebhooks.Webhook(hook.secret).verify(heard.body, heard.headers)
    assert read == {"type": "plan.done", "timestamp": "2027-03-01T12:00:00Z", "data": {"id": "p1"}}
    (message,) = small.messages(hook)
    assert heard.headers["webhook-id"] == message.id
    assert (message.state, message.attempts, message.last_status) == ("delivered", 1, 204)


def test_every_webhook_that_wants_it_is_told_once_and_no_other(office: Office) -> None:
    one, two, off = office.add("https://one.example/"), office.add("https://two.example/"), office.add("https://off.example/")
    other = office.store.write(lambda c: add_webhook(c, "https://other.example/", ["reservation.hit"], new_secret(), NOON))
    office.store.write(lambda c: change_webhook(c, off.id, ANY_VERSION, enabled=False))
    office.tell()
    assert office.sender().send_due() == 2
    assert sorted(url for url, _, _ in office.posted) == ["https://one.example/", "https://two.example/"]
    assert office.sender().send_due() == 0
    assert [len(office.messages(hook)) for hook in (one, two, off, other)] == [1, 1, 0, 0]


def test_a_message_is_sent_again_by_the_schedule_and_then_given_up(office: Office) -> None:
    hook = office.add()
    office.tell()
    for attempt, delay in enumerate([*DELAYS_S, None], 1):
        office.answers = [PostResult(500, "answered 500: no room")]
        assert office.sender().send_due() == 1
        (message,) = office.messages(hook)
        assert (message.attempts, message.last_status, message.last_error) == (attempt, 500, "answered 500: no room")
        if delay is not None:
            assert message.state == "waiting"
            assert 0.9 * delay <= (message.next_at - office.at).total_seconds() <= 1.1 * delay
            office.at = message.next_at - timedelta(seconds=0.1)
            assert office.sender().send_due() == 0
            office.at = message.next_at
    assert (message.state, message.ended_at) == ("dead", office.at)
    assert office.there(hook).dead == 1
    assert len({headers["webhook-id"] for _, headers, _ in office.posted}) == 1  # the same message, however often it is sent
    office.at += timedelta(days=30)
    assert office.sender().send_due() == 0


def test_a_dead_message_can_be_sent_again(office: Office) -> None:
    hook = office.add()
    office.tell()
    office.answers = [PostResult(410, "answered 410")]
    office.sender().send_due()
    (message,) = office.messages(hook)
    office.store.write(lambda c: change_webhook(c, hook.id, ANY_VERSION, enabled=True))
    again = office.store.write(lambda c: send_again(c, hook.id, message.id, office.at))
    assert (again.state, again.attempts, again.ended_at) == ("waiting", 0, None)
    assert office.sender().send_due() == 1
    assert office.messages(hook)[0].state == "delivered"


def test_a_receiver_that_is_gone_is_switched_off_with_all_that_waits_for_it(office: Office) -> None:
    hook, other = office.add("https://gone.example/"), office.add("https://there.example/")
    office.tell(1)
    office.tell(2)
    office.answers = [PostResult(410, "answered 410")]
    office.sender().send_due()
    gone = next(each for each in (hook, other) if office.posted[0][0] == each.url)
    assert office.there(gone).enabled is False and office.there(gone).version == 2
    assert {message.state for message in office.messages(gone)} == {"dead"}
    assert "switched off" in office.messages(gone)[0].last_error
    rest = other if gone is hook else hook
    assert {message.state for message in office.messages(rest)} == {"delivered"}


def test_what_a_dying_server_was_sending_is_sent_by_the_next_one(office: Office) -> None:
    hook = office.add()
    office.tell()
    dying = DeliveryRecords(office.store, LEASE_S, lambda: office.at)
    assert dying.claim(()) is not None
    assert office.sender().send_due() == 0  # it is held
    office.at += timedelta(seconds=LEASE_S)
    assert office.sender().send_due() == 1
    (message,) = office.messages(hook)
    assert (message.state, message.attempts) == ("delivered", 2)


def test_a_server_that_comes_back_late_does_not_overwrite_what_another_has_found(office: Office) -> None:
    hook = office.add()
    office.tell()
    late = DeliveryRecords(office.store, LEASE_S, lambda: office.at)
    attempt = late.claim(())
    assert attempt is not None
    office.at += timedelta(seconds=LEASE_S)
    office.sender().send_due()
    late.failed(attempt, 500, "too late", None)
    assert office.messages(hook)[0].state == "delivered"


def test_several_servers_send_each_message_once(office: Office) -> None:
    hooks = [office.add(f"https://r{number}.example/") for number in range(3)]
    for number in range(6):
        office.tell(number)
    threads = [threading.Thread(target=office.sender().send_due) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    sent = [headers["webhook-id"] for _, headers, _ in office.posted]
    assert len(sent) == len(set(sent)) == 18
    assert all(message.state == "delivered" for hook in hooks for message in office.messages(hook))


def test_one_server_sends_a_webhook_one_message_at_a_time(small: Office) -> None:
    small.add()
    for number in range(6):
        small.tell(number)
    at_work: list[int] = []
    most: list[int] = []

    def post(url: str, headers: Mapping[str, str], body: bytes) -> PostResult:
        at_work.append(1)
        most.append(len(at_work))
        time.sleep(0.01)
        at_work.pop()
        return PostResult(204)

    sender = small.sender(post)
    threads = [threading.Thread(target=sender.send_due) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(most), max(most)) == (6, 1)


def test_a_webhook_that_fails_is_left_alone_for_a_while_and_others_are_not(small: Office) -> None:
    bad, good = small.add("https://bad.example/"), small.add("https://good.example/")
    for number in range(3):
        small.tell(number)

    def post(url: str, headers: Mapping[str, str], body: bytes) -> PostResult:
        return PostResult(500, "answered 500") if "bad" in url else PostResult(204)

    assert small.sender(post).send_due() == 4
    assert sorted(message.attempts for message in small.messages(bad)) == [0, 0, 1]
    assert [message.attempts for message in small.messages(good)] == [1, 1, 1]


def test_a_mistake_of_ours_counts_as_an_attempt(small: Office, caplog: pytest.LogCaptureFixture) -> None:
    hook = small.add()
    small.tell()

    def post(url: str, headers: Mapping[str, str], body: bytes) -> PostResult:
        raise ZeroDivisionError

    small.sender(post).send_due()
    (message,) = small.messages(hook)
    assert (message.state, message.attempts) == ("waiting", 1)
    assert "its log says why" in message.last_error and "ZeroDivisionError" in caplog.text


def test_secrets_are_in_no_log_and_no_printed_value(small: Office, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level("DEBUG")
    hook = small.add()
    small.tell()
    small.answers = [PostResult(500, "answered 500")]
    small.sender().send_due()
    attempt = DeliveryRecords(small.store, LEASE_S, lambda: NOON + timedelta(days=1)).claim(())
    bare = hook.secret.removeprefix("whsec_")
    assert bare not in caplog.text and bare not in repr(hook) + repr(attempt)


def test_a_lost_store_is_one_line_in_the_log_and_no_flood(
    small: Office, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def lost(action: object) -> None:
        raise Unreachable("the database does not answer")

    monkeypatch.setattr(small.store, "read", lost)
    sender = small.sender()
    sender.start()
    ends = time.monotonic() + 5
    while not caplog.records and time.monotonic() < ends:
        time.sleep(0.01)
    time.sleep(0.2)
    began = time.monotonic()
    sender.stop()
    assert time.monotonic() - began < 1
    assert 1 <= len(caplog.records) <= 4 and "the database does not answer" in caplog.text


def test_a_long_error_is_kept_to_400_characters(small: Office) -> None:
    hook = small.add()
    small.tell()
    small.answers = [PostResult(500, "x" * 2000)]
    small.sender().send_due()
    assert small.messages(hook)[0].last_error == "x" * 400


def test_the_threads_send_what_is_told_and_stop_at_once_though_a_receiver_hangs(small: Office) -> None:
    with receiving(drip_s=5.0) as receiver:
        hook = small.add(receiver.url)
        small.store.write(lambda c: add_test(c, hook.id, small.at))
        sender = small.sender(MessagePost(5, True))
        sender.start()
        receiver.until(1)
        began = time.monotonic()
        sender.stop(0.1)
        assert time.monotonic() - began < 1
        receiver.let_go.set()
        ends = time.monotonic() + 5
        while any(thread.name.startswith("holdwright-webhooks") for thread in threading.enumerate()):
            assert time.monotonic() < ends
            time.sleep(0.01)
