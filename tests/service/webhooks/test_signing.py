"""Signatures: the reference library accepts them, and they are those of its published example."""

from __future__ import annotations

import base64
import time
from datetime import UTC, datetime

import pytest
import standardwebhooks

from service.webhooks.signing import new_secret, signature, signed_headers

BODY = '{"type":"plan.done","data":{"name":"Stütze"}}'.encode()


def test_the_published_example_is_signed_as_published() -> None:
    # Source: standard-webhooks, libraries/go/webhook_test.go, TestWebhookSign.
    signed = signature(
        "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330, b'{"test": 2432232314}'
    )
    assert signed == "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="


def test_the_reference_library_accepts_what_is_sent_and_nothing_else() -> None:
    secret = new_secret()
    headers = signed_headers(secret, "msg_1", int(time.time()), BODY)
    assert standardwebhooks.Webhook(secret).verify(BODY, headers)["type"] == "plan.done"
    for other in (new_secret(), secret):
        with pytest.raises(standardwebhooks.WebhookVerificationError):
            standardwebhooks.Webhook(other).verify(BODY + b" " * (other == secret), headers)


def test_the_reference_library_signs_the_same() -> None:
    secret, at = new_secret(), 1_800_000_000
    theirs = standardwebhooks.Webhook(secret).sign("msg_2", datetime.fromtimestamp(at, UTC), BODY.decode())
    assert signature(secret, "msg_2", at, BODY) == theirs


def test_a_secret_is_a_prefix_and_at_least_24_random_bytes() -> None:
    # Source: Standard Webhooks 1.0.0, "Signature scheme": at least 24 bytes, 64 at most.
    secrets = {new_secret() for _ in range(50)}
    assert len(secrets) == 50
    assert all(24 <= len(base64.b64decode(secret.removeprefix("whsec_"), validate=True)) <= 64 for secret in secrets)
