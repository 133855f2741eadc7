"""The threads that send what is due: one message to a webhook at a time, and none for a while where one did not arrive."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Mapping

from inventory.errors import StoreError
from service.background import Rounds
from service.records.database import Database
from service.records.deliveries import Attempt, DeliveryRecords
from service.settings import Settings
from service.webhooks.destinations import LOOK_UP_S
from service.webhooks.posting import MessagePost, PostResult
from service.webhooks.schedule import again_in_s
from service.webhooks.signing import signed_headers

log = logging.getLogger("holdwright.webhooks")
_LOOK_S = 1.0
_AT_ONCE = 4
_PAUSE_S, _LONGEST_PAUSE_S = 5.0, 60.0
"""A webhook is left alone for so long after a failure, longer with each one more: one that hangs must not take all threads."""
_STORE_PAUSE_S = 10.0
_GONE = 410
_MARGIN_S = 30.0
"""A message is held for so much longer than an attempt can take: looking the host up, posting, writing down what came of it."""

Post = Callable[[str, Mapping[str, str], bytes], PostResult]


class Sender:
    """Sends messages to webhooks as long as it runs.

    Parameters
    ----------
    post : callable
        Posts one message: URL, headers, body.
    clock : callable
        Seconds since 1970, for the messages.
    """

    def __init__(self, records: DeliveryRecords, post: Post, clock: Callable[[], float] = time.time) -> None:
        self._records, self._post, self._clock = records, post, clock
        self._lock = threading.Lock()
        self._at_work: set[str] = set()
        self._failures: dict[str, int] = {}
        self._paused_until: dict[str, float] = {}
        self._stopping = threading.Event()
        self._threads = [Rounds(f"webhooks-{number}", _LOOK_S, self.send_due) for number in range(1, _AT_ONCE + 1)]

    def start(self) -> None:
        """Start the threads."""
        for thread in self._threads:
            thread.start()

    def stop(self, within_s: float = 1.0) -> None:
        """Send nothing more; what is being sent just now and does not end within so many seconds will be sent again."""
        self._stopping.set()
        for thread in self._threads:
            thread.stop(0)
        ends = time.monotonic() + within_s
        for thread in self._threads:
            thread.stop(max(0.0, ends - time.monotonic()))

    def send_due(self) -> int:
        """Send one message after the other until none is due, and return how many."""
        sent = 0
        try:
            while not self._stopping.is_set() and (attempt := self._claim()) is not None:
                try:
                    self._send(attempt)
                finally:
                    with self._lock:
                        self._at_work.discard(attempt.webhook)
                sent += 1
        except StoreError as error:  # looked for every second, a lost database would fill the log
            log.warning("messages wait, the store cannot be used: %s", error)
            self._stopping.wait(_STORE_PAUSE_S)
        return sent

    def _claim(self) -> Attempt | None:
        """Take a message to a webhook that none of the other threads is at."""
        with self._lock:
            at = time.monotonic()
            self._paused_until = {webhook: until for webhook, until in self._paused_until.items() if until > at}
            attempt = self._records.claim(self._at_work | set(self._paused_until))
            if attempt is not None:
                self._at_work.add(attempt.webhook)
            return attempt

    def _send(self, attempt: Attempt) -> None:
        body = attempt.body.encode()
        headers = signed_headers(attempt.secret, attempt.delivery, int(self._clock()), body)
        try:
            result = self._post(attempt.url, headers, body)
        except Exception:  # counted like any failure, or a message that always raises would be sent for ever
            log.exception("message %s, attempt %d, could not be sent", attempt.delivery, attempt.number)
            result = PostResult(None, "the server could not send it; its log says why")
        if result.arrived and result.status is not None:
            self._failures.pop(attempt.webhook, None)
            self._records.delivered(attempt, result.status)
            return
        log.info("message %s, attempt %d, did not arrive: %s", attempt.delivery, attempt.number, result.error)
        self._pause(attempt.webhook)
        if result.status == _GONE:
            self._records.gone(attempt, result.status, f"{result.error}; the webhook was switched off")
            return
        again = again_in_s(attempt.number, result.retry_after_s)
        self._records.failed(attempt, result.status, result.error, again)

    def _pause(self, webhook: str) -> None:
        with self._lock:
            failures = self._failures[webhook] = self._failures.get(webhook, 0) + 1
            self._paused_until[webhook] = time.monotonic() + min(_PAUSE_S * failures, _LONGEST_PAUSE_S)


def sender_of(database: Database, settings: Settings) -> Sender:
    """Return the sender of a server."""
    records = DeliveryRecords(database, settings.webhook_timeout + LOOK_UP_S + _MARGIN_S)
    return Sender(records, MessagePost(settings.webhook_timeout, bool(settings.webhook_private)))
