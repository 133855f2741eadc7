"""One message posted over real sockets: to the address that was checked, within its time, whatever the receiver does."""

from __future__ import annotations

import ssl
import subprocess
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.webhooks.posting import MessagePost, retry_after_s
from tests.service.webhooks.receiver import Receiver, receiving

BODY = b'{"type":"plan.done"}'
HEADERS = {"webhook-id": "msg_1"}


def here(host: str, port: int) -> list[str]:
    return ["127.0.0.1"]


def posting(timeout_s: float = 5.0, private: bool = True, trusted: ssl.SSLContext | None = None) -> MessagePost:
    return MessagePost(timeout_s, private, here, trusted or ssl.create_default_context())


def named(receiver: Receiver, scheme: str = "http") -> str:
    return f"{scheme}://erp.example:{receiver.port}/hook?a=1"


def test_a_message_arrives_with_its_headers_under_the_receivers_own_name() -> None:
    with receiving() as receiver:
        result = posting()(named(receiver), HEADERS, BODY)
    assert result.arrived and result.status == 204
    (heard,) = receiver.heard
    assert (heard.path, heard.body) == ("/hook?a=1", BODY)
    assert heard.headers["host"] == f"erp.example:{receiver.port}"
    assert heard.headers["content-type"] == "application/json" and heard.headers["webhook-id"] == "msg_1"
    assert heard.headers["user-agent"].startswith("holdwright/")


@pytest.mark.parametrize("status", [200, 201, 299])
def test_every_2xx_is_an_arrival(status: int) -> None:
    with receiving(statuses=[status]) as receiver:
        assert posting()(named(receiver), HEADERS, BODY).arrived


def test_a_refusal_is_told_in_up_to_a_thousand_printable_characters() -> None:
    with receiving(statuses=[500], text=b"no\x1b[31m room\n here " + b"x" * 5000) as receiver:
        result = posting()(named(receiver), HEADERS, BODY)
    assert (result.arrived, result.status) == (False, 500)
    assert result.error.startswith("answered 500: no\\x1b[31m room here xxx") and result.error.isprintable()
    assert len(result.error) < 1100


def test_a_redirect_is_not_followed() -> None:
    with receiving() as inner, receiving(statuses=[302], headers={"Location": inner.url}) as receiver:
        result = posting()(named(receiver), HEADERS, BODY)
    assert (result.status, inner.heard) == (302, [])


def test_a_receiver_that_drips_is_left_when_the_time_is_up() -> None:
    with receiving(drip_s=0.05, statuses=[200]) as receiver:
        began = time.monotonic()
        result = posting(timeout_s=0.4)(named(receiver), HEADERS, BODY)
        assert 0.3 < time.monotonic() - began < 2
    assert (result.status, result.error) == (None, "no answer within 0.4 s")


def test_nobody_there() -> None:
    with receiving() as receiver:
        pass
    result = posting()(named(receiver), HEADERS, BODY)
    assert result.status is None and result.error.startswith("ConnectError")


def test_a_private_address_is_refused_at_the_delivery_too() -> None:
    with receiving() as receiver:
        result = posting(private=False)(named(receiver, "https"), HEADERS, BODY)
    assert result.error == "erp.example leads to 127.0.0.1, which is loopback"
    assert receiver.heard == []


def test_the_name_is_looked_up_once_so_that_another_answer_leads_nowhere() -> None:
    answers = [["127.0.0.1"], ["127.0.0.99"]]
    with receiving() as checked, receiving(host="127.0.0.99") as other:
        post = MessagePost(5, True, lambda host, port: answers.pop(0), ssl.create_default_context())
        assert post(named(checked), HEADERS, BODY).arrived
        assert (len(checked.heard), other.heard, len(answers)) == (1, [], 1)


def test_the_next_address_is_tried_where_one_takes_no_connection() -> None:
    with receiving() as receiver:
        post = MessagePost(5, True, lambda host, port: ["::1", "127.0.0.1"], ssl.create_default_context())
        assert post(named(receiver), HEADERS, BODY).arrived


def test_no_proxy_of_the_environment_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    with receiving() as receiver, receiving() as proxy:
        for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY"):
            monkeypatch.setenv(name, f"http://127.0.0.1:{proxy.port}")
        assert posting()(named(receiver), HEADERS, BODY).arrived
    assert (len(receiver.heard), proxy.heard) == (1, [])


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """A certificate for erp.example that is its own authority, and its key."""
    folder: Path = tmp_path_factory.mktemp("tls")
    files = str(folder / "cert.pem"), str(folder / "key.pem")
    options = [
        "-x509",
        "-newkey",
        "ec",
        "-pkeyopt",
        "ec_paramgen_curve:prime256v1",
        "-nodes",
        "-days",
        "2",
        "-subj",
        "/CN=erp.example",
    ]
    subprocess.run(
        ["openssl", "req", *options, "-addext", "subjectAltName=DNS:erp.example", "-out", files[0], "-keyout", files[1]],
        check=True,
        capture_output=True,
    )
    return files


def test_the_certificate_is_held_against_the_hosts_name_not_the_address(certificate: tuple[str, str]) -> None:
    believed = ssl.create_default_context(cafile=certificate[0])
    with receiving(certificate) as receiver:
        post = posting(trusted=believed)
        assert post(named(receiver, "https"), HEADERS, BODY).arrived
        for url in (f"https://other.example:{receiver.port}/", f"https://127.0.0.1:{receiver.port}/"):
            result = post(url, HEADERS, BODY)
            assert result.status is None and "certificate" in result.error
        stranger = posting()(named(receiver, "https"), HEADERS, BODY)
        assert stranger.status is None and "certificate" in stranger.error
    assert len(receiver.heard) == 1


def test_an_address_with_a_token_is_in_no_log(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level("DEBUG")
    with receiving() as receiver:
        assert posting()(named(receiver) + "&token=s3cret", HEADERS, BODY).arrived
    assert receiver.heard and "s3cret" not in caplog.text


# Source: RFC 9110, 10.2.3 (its two examples) and 5.6.7.
@pytest.mark.parametrize(
    ("header", "seconds"),
    [("120", 120), ("Fri, 31 Dec 1999 23:59:59 GMT", 59), ("Fri, 31 Dec 1999 23:00:00 GMT", 0), ("", 0), ("soon", 0), ("-5", 0)],
)
def test_retry_after(header: str, seconds: float) -> None:
    assert retry_after_s(header, datetime(1999, 12, 31, 23, 59, 0, tzinfo=UTC)) == seconds


def test_a_wish_to_wait_is_heard() -> None:
    with receiving(statuses=[503], headers={"Retry-After": "77"}) as receiver:
        assert posting()(named(receiver), HEADERS, BODY).retry_after_s == 77
