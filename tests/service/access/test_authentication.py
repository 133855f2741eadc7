"""Who is asking, by the clock: keys and sign-ins end when they are to, and none outlives its key. On both databases."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from inventory.store import open_store
from service.access.api_keys import make, revoke
from service.access.authentication import Authentication
from service.access.last_use import LastUse
from service.access.sign_in import sign_in, sign_out
from service.errors import KeyRefused
from service.records.keys import KeyRecords
from service.records.sign_ins import SignInRecords
from service.records.writes import Asked
from tests.shelf import READERS

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)


def asked(at: datetime, key: str | None = None) -> Asked:
    return Asked(key, "tests", "sign_in", "tests", at)


def test_keys_and_sign_ins_end_when_they_are_to(database: str) -> None:
    store = open_store(database, READERS)
    keys, sign_ins, at = KeyRecords(store).create(), SignInRecords(store), [NOON]
    last_use = LastUse(keys)
    who = Authentication(keys, sign_ins, last_use, lambda: at[0])
    assert who.without(from_this_machine=True) is not None and who.without(from_this_machine=False) is None
    day = make(keys, "for a day", "planner", NOON + timedelta(days=1), asked(NOON))
    assert who.without(from_this_machine=True) is None

    caller = who.by_key(day.text)
    assert (caller.name, caller.role, caller.way, caller.expires_at) == ("for a day", "planner", "key", NOON + timedelta(days=1))
    short = sign_in(sign_ins, caller, 2, asked(NOON, caller.key))
    long = sign_in(sign_ins, caller, 100, asked(NOON, caller.key))
    assert (short.expires_at, long.expires_at) == (NOON + timedelta(hours=2), NOON + timedelta(days=1))
    assert who.by_token(short.token).expires_at == short.expires_at
    at[0] = NOON + timedelta(hours=2)
    with pytest.raises(KeyRefused, match="has ended"):
        who.by_token(short.token)
    assert who.by_token(long.token).name == "for a day"
    with pytest.raises(KeyRefused):
        who.by_token(day.text), "a key is no token"
    with pytest.raises(KeyRefused):
        who.by_key(long.token)

    last_use.write_down()
    used = keys.by_id(day.key.id)
    assert used is not None and used.last_used_at == at[0]
    at[0] += timedelta(seconds=59)
    who.by_key(day.text)
    last_use.write_down()
    assert keys.by_id(day.key.id) == used, "within a minute there is nothing to write"
    at[0] = NOON + timedelta(days=1)
    with pytest.raises(KeyRefused, match=f"{day.key.prefix} has expired"):
        who.by_key(day.text)

    other = make(keys, "other", "reader", None, asked(NOON))
    token = sign_in(sign_ins, who.by_key(other.text), 100, asked(at[0], other.key.id)).token
    assert who.by_token(token).name == "other"
    sign_out(sign_ins, token, asked(at[0], other.key.id))
    with pytest.raises(KeyRefused):
        who.by_token(token)
    token = sign_in(sign_ins, who.by_key(other.text), 100, asked(at[0], other.key.id)).token
    revoke(keys, other.key.id, asked(at[0]))
    with pytest.raises(KeyRefused, match="was revoked"):
        who.by_key(other.text)
    with pytest.raises(KeyRefused, match="was revoked"):
        who.by_token(token)
    assert who.without(from_this_machine=True) is None
    assert Authentication(keys, sign_ins, last_use).without(from_this_machine=True) is None, "nor after a restart"
    store.close()
