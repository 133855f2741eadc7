"""When keys were last used: gathered in memory and written down now and then, so that no request waits for it."""

from __future__ import annotations

import threading
from datetime import datetime, timedelta

from service.records.api_key import ApiKey
from service.records.keys import KeyRecords

AT_MOST_EVERY = timedelta(minutes=1)


class LastUse:
    """The uses of keys that are not written down yet; what a server has gathered when it dies is lost, a minute at most."""

    def __init__(self, records: KeyRecords) -> None:
        self._records = records
        self._lock = threading.Lock()
        self._gathered: dict[str, datetime] = {}
        self._written: dict[str, datetime] = {}

    def note(self, key: ApiKey, at: datetime) -> None:
        """Hear of a use; one within a minute of the last that was written down is not worth writing."""
        known = max(filter(None, (key.last_used_at, self._written.get(key.id))), default=None)
        if known is None or at - known >= AT_MOST_EVERY:
            with self._lock:
                self._gathered[key.id] = at

    def write_down(self) -> None:
        """Write down what was gathered; if it cannot be written now, it is tried again."""
        with self._lock:
            gathered = dict(self._gathered)
        if gathered:
            self._records.used(gathered)
            with self._lock:
                self._written |= gathered
                self._gathered = {id: at for id, at in self._gathered.items() if at != gathered.get(id)}
