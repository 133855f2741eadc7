"""Signing in by a key, for browsers: a token in a cookie stands for the key until it expires or is given up."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from service.access.caller import Caller
from service.access.key_text import hash_of, is_token, new_token
from service.records.sign_ins import SignInRecords
from service.records.writes import Asked


@dataclass(frozen=True, slots=True)
class SignedIn:
    """A sign-in: the token its browser sends from now on, and until when."""

    token: str
    expires_at: datetime


def sign_in(records: SignInRecords, caller: Caller, hours: float, asked: Asked) -> SignedIn:
    """Sign in whoever asks with its key, for so many hours and no longer than the key lives."""
    ends = asked.at + timedelta(hours=hours)
    ends = ends if caller.expires_at is None else min(ends, caller.expires_at)
    token = new_token()
    records.add(hash_of(token), ends, asked)
    return SignedIn(token, ends)


def sign_out(records: SignInRecords, token: str, asked: Asked) -> None:
    """Forget a sign-in; does nothing if the token stands for none."""
    if is_token(token):
        records.remove(hash_of(token), asked)
