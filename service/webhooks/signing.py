"""Signatures of messages: HMAC-SHA256 over id, time and body (Standard Webhooks 1.0.0, "Signature scheme")."""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets

PREFIX = "whsec_"
_KEY_BYTES = 32
"""The specification asks for 24 to 64 random bytes."""


def new_secret() -> str:
    """Return a new secret, as receivers are given it: the prefix, and the key in base64."""
    return PREFIX + base64.b64encode(secrets.token_bytes(_KEY_BYTES)).decode("ascii")


def signature(secret: str, id: str, timestamp: int, body: bytes) -> str:
    """Return the value of ``webhook-signature``; `timestamp` is the attempt's, s since 1970."""
    key = base64.b64decode(secret.removeprefix(PREFIX), validate=True)
    signed = hmac.new(key, f"{id}.{timestamp}.".encode("ascii") + body, hashlib.sha256)
    return "v1," + base64.b64encode(signed.digest()).decode("ascii")


def signed_headers(secret: str, id: str, timestamp: int, body: bytes) -> dict[str, str]:
    """Return the headers that name a message, its attempt's time and its signature."""
    return {
        "webhook-id": id,
        "webhook-timestamp": str(timestamp),
        "webhook-signature": signature(secret, id, timestamp, body),
    }
