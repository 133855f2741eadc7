"""Who is asking: by a key, by a browser's cookie, or from this machine as long as no key was ever made.

Every request that needs a key asks the database, so a key that was revoked opens nothing from then on, on every server. That keys
are needed is remembered: keys are never forgotten, only revoked, so it stays so even when the last one is revoked or expires.
"""

from __future__ import annotations

from datetime import datetime

from service.access.caller import THIS_MACHINE, Caller, caller_by
from service.access.key_text import hash_of, is_that, is_token, prefix_of
from service.access.last_use import LastUse
from service.errors import KeyRefused
from service.records.api_key import ApiKey
from service.records.database import Clock, now
from service.records.keys import KeyRecords
from service.records.sign_ins import SignInRecords

_NOT_KNOWN = "the key is not known here"


class Authentication:
    """Finds out who is asking.

    Parameters
    ----------
    last_use : LastUse
        Hears of every use of a key.
    """

    def __init__(self, keys: KeyRecords, sign_ins: SignInRecords, last_use: LastUse, clock: Clock = now) -> None:
        self._keys, self._sign_ins, self._last_use, self._clock = keys, sign_ins, last_use, clock
        self.required = False

    def by_key(self, text: str) -> Caller:
        """Return who asks with a key; raises KeyRefused if it is none, has expired or was revoked."""
        prefix = prefix_of(text)
        key = None if prefix is None else self._keys.by_prefix(prefix)
        if not is_that(text, None if key is None else key.hash) or key is None:
            raise KeyRefused(_NOT_KNOWN)
        at = self._clock()
        self._refuse_dead(key, at)
        self.required = True
        self._last_use.note(key, at)
        return caller_by(key, "key", key.expires_at)

    def by_token(self, token: str) -> Caller:
        """Return who asks with a sign-in's cookie; raises KeyRefused if that has ended, or its key opens nothing any more."""
        at = self._clock()
        signed_in = self._sign_ins.by_hash(hash_of(token), at) if is_token(token) else None
        if signed_in is None:
            raise KeyRefused("the sign-in has ended; sign in again")
        self._refuse_dead(signed_in.key, at)
        self.required = True
        self._last_use.note(signed_in.key, at)
        return caller_by(signed_in.key, "sign-in", signed_in.expires_at)

    def without(self, from_this_machine: bool) -> Caller | None:
        """Return who asks without a key: whoever is on this machine if no key was ever made, else nobody."""
        return THIS_MACHINE if not self.look_up_required() and from_this_machine else None

    def look_up_required(self) -> bool:
        """Return whether keys are needed: whether one was ever made."""
        self.required = self.required or self._keys.any_made()
        return self.required

    def _refuse_dead(self, key: ApiKey, at: datetime) -> None:
        state = key.state(at)
        if state != "live":
            raise KeyRefused(f"the key {key.prefix} {'was revoked' if state == 'revoked' else 'has expired'}")
