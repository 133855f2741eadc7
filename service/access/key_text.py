"""API keys and sign-in tokens as texts: made from the operating system's randomness, kept as their hash alone.

A key's secret has 256 random bits, so nobody can find it by trying, whatever the hash: a slow one as for passwords would only
make every request slow. The letters it begins with let tools that look for secrets in files and logs recognise one.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from dataclasses import dataclass

_KEY = re.compile(r"(hw_[0-9a-f]{8})_[A-Za-z0-9_-]{43}")
_TOKEN = re.compile(r"[A-Za-z0-9_-]{43}")
_NOBODYS = hashlib.sha256(secrets.token_bytes(32)).hexdigest()


@dataclass(frozen=True, slots=True)
class KeyText:
    """A new key: the whole text, which is shown once, and the two things that are kept of it."""

    text: str
    prefix: str
    hash: str


def new_key() -> KeyText:
    """Return a new key such as ``hw_5f0c91de_...``: 8 characters to recognise it by, 43 that are secret."""
    prefix = f"hw_{secrets.token_hex(4)}"
    text = f"{prefix}_{secrets.token_urlsafe(32)}"
    return KeyText(text, prefix, hash_of(text))


def new_token() -> str:
    """Return a new token for a browser's cookie: 43 characters, 256 random bits."""
    return secrets.token_urlsafe(32)


def prefix_of(text: str) -> str | None:
    """Return the part of a key by which it is found, None if the text cannot be a key."""
    found = _KEY.fullmatch(text)
    return None if found is None else found[1]


def is_token(text: str) -> bool:
    """Whether a text can be a sign-in token."""
    return _TOKEN.fullmatch(text) is not None


def hash_of(text: str) -> str:
    """Return the SHA-256 of a key or token, hexadecimal."""
    return hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest()


def is_that(text: str, hash: str | None) -> bool:
    """Whether a text is the key of a hash; takes as long if there is no such key, and wherever the two differ."""
    return hmac.compare_digest(hash_of(text), _NOBODYS if hash is None else hash)
