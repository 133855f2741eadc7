"""No text, number or moment, wherever it stands in a request, makes either database stumble."""

from __future__ import annotations

import base64
import copy
import itertools
import json
import random
from collections.abc import Iterator
from typing import Any
from urllib.parse import quote, quote_from_bytes

import pytest

from tests.service.http.shop import SIGNED, Shop, day
from tests.service.http.test_mutated import paths

HOSTILE: tuple[Any, ...] = (
    "\0", "a\0b", "\x7f\x1b", "\u2028", "\ufeff", "\u202e", "\U0010ffff", "\ud800", "%", "_", "'", '"; DROP TABLE items; --',
    "x" * 5000, "9" * 400, "-" + "9" * 20, 2**31, 2**63, -(2**63), 10**60, 10**299, 1e308, -1, 0, 0.5, True, None, [], {},
    "0001-01-01", "9999-12-31", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", "2027-03-01T08:00:00", "1e300", "NaN", "",
)  # fmt: skip
DAYS = {"from": day(1), "to": day(2)}
LINES = [{"item": "riser-75", "count": 1}]
BODIES: tuple[tuple[str, str, Any], ...] = (
    ("POST", "/v1/reservations", {"job": "posts", "needed": DAYS, "lines": LINES, "plan": "none", "rank": 1, **SIGNED}),
    ("POST", "/v1/reservations", {"job": "p", "needed": DAYS, "lines": LINES, "expires_at": "2030-01-01T00:00:00Z", **SIGNED}),
    ("POST", "/v1/reservations/1/take_back", {"lines": [{"item": "riser-75", "whole": 1, "broken": 0}], **SIGNED}),
    ("POST", "/v1/reservations/1/move", {"needed": DAYS, **SIGNED}),
    ("POST", "/v1/reservations/1/release", SIGNED),
    ("POST", "/v1/stock/riser-75/entries", {"do": "receive", "pieces": 1, **SIGNED}),
    ("PATCH", "/v1/stock/riser-75", {"count": 6, "out_of_service": 0, "bin": "A3", **SIGNED}),
)
SEED = 14


def texts() -> list[str]:
    """Return the hostile values as they stand in addresses and headers."""
    return [value if isinstance(value, str) else json.dumps(value) for value in HOSTILE]


def encoded(text: str) -> str:
    """Return a text percent-encoded; half a surrogate pair as the bytes a careless program sends."""
    return quote_from_bytes(text.encode("utf-8", "surrogatepass"), safe="")


def addresses(shop: Shop) -> Iterator[tuple[str, str, dict[tuple[str, str], Any]]]:
    """Yield every method and address the application describes, with its parameters by place and name."""
    for address, methods in shop.app.openapi()["paths"].items():
        for method, described in methods.items():
            yield method.upper(), address, {(one["in"], one["name"]): one for one in described.get("parameters", ())}


@pytest.fixture
def stocked(shop: Shop) -> Shop:
    """A shop with a reservation."""
    assert shop.reserve(riser_75=2).status_code == 201
    return shop


def asked(shop: Shop, method: str, address: str, place: str, name: str, text: str) -> Any:
    """Ask an address with one parameter as the text, the others as they may be."""
    path = address.replace("{number}", "1" if name != "number" else encoded(text))
    path = path.replace("{rank}", "1" if name != "rank" else encoded(text))
    for key in ("item", "id", "name"):
        path = path.replace(f"{{{key}}}", encoded(text) if (place, name) == ("path", key) else "riser-75")
    query = {"who": "planner"} if address.endswith("/import") and name != "who" else {}
    words = [f"{key}={quote(value)}" for key, value in query.items()]
    words += [f"{name}={encoded(text)}"] if place == "query" else []
    headers: dict[str, Any] = {"If-Match": "*", "Content-Type": "text/csv" if address.endswith("/import") else "application/json"}
    if place == "header":
        if not text.isprintable():
            return None  # no client and no server lets such a header through
        headers[name] = text.encode("utf-8", "surrogatepass")
    content = b"item,count\nriser-75,6\n" if address.endswith("/import") else json.dumps({"do": "receive", "pieces": 1, **SIGNED})
    more = {} if method in ("GET", "DELETE") else {"content": content}
    return shop.ask(method, path + ("?" + "&".join(words) if words else ""), headers=headers, **more)


def test_no_parameter_makes_it_stumble(stocked: Shop) -> None:
    """Each parameter of each address gets a few of them in turn, so that all are tried many times over."""
    turn = itertools.cycle(random.Random(SEED).sample(texts(), len(HOSTILE)))
    stumbled = []
    for method, address, parameters in addresses(stocked):
        for place, name in parameters:
            for text in itertools.islice(turn, 2):
                answer = asked(stocked, method, address, place, name, text)
                if answer is not None and answer.status_code >= 500:
                    stumbled.append((method, address, place, name, text[:40], answer.text))
    assert stumbled == []


def test_no_cursor_does(stocked: Shop) -> None:
    lists = ("/v1/items", "/v1/tables", "/v1/stock", "/v1/stock/journal", "/v1/reservations")
    for address, text in itertools.product(lists, ("\0", "a\0", "\ud800", "9" * 10, "9" * 400, "-1", "\u0663", "x" * 5000, "")):
        cursor = base64.urlsafe_b64encode(text.encode("utf-8", "surrogatepass")).decode()
        answer = stocked.ask("GET", f"{address}?cursor={cursor}")
        assert answer.status_code in (200, 422), (text[:20], answer.text)
        if answer.status_code == 422:
            assert [fault["pointer"] for fault in answer.json()["faults"]] == ["/query/cursor"]


def test_no_body_does(stocked: Shop) -> None:
    chance = random.Random(SEED)
    stumbled = []
    for method, address, sound in BODIES:
        for path in [path for path in paths(sound) if path]:
            for value in chance.sample(HOSTILE, 3):
                body = copy.deepcopy(sound)
                holder: Any = body
                for step in path[:-1]:
                    holder = holder[step]
                holder[path[-1]] = value
                headers = {"If-Match": "*", "Content-Type": "application/json"}
                answer = stocked.ask(method, address, headers=headers, content=json.dumps(body).encode())
                if answer.status_code >= 500:
                    stumbled.append((method, address, path, value, answer.text))
    assert stumbled == []


def test_what_cannot_be_looked_for_is_named(stocked: Shop) -> None:
    for address, pointer in (
        ("/v1/items?text=%00", "/query/text"),
        ("/v1/stock?text=a%00", "/query/text"),
        ("/v1/stock?bin=%00", "/query/bin"),
        ("/v1/stock/journal?item=%00", "/query/item"),
        ("/v1/stock/journal?since=0001-01-01T00:00:00%2B14:00", "/query/since"),
        ("/v1/stock/journal?since=9999-12-31T23:59:59-14:00", "/query/since"),
        ("/v1/stock?to=9999-12-31", "/query/to"),
        ("/v1/stock/riser-75?from=9999-12-31", "/query/from"),
        ("/v1/reservations?item=%00", "/query/item"),
        ("/v1/reservations?job=%00", "/query/job"),
        ("/v1/reservations?plan=%00", "/query/plan"),
        ("/v1/reservations?from=0001-01-01", "/query/from"),
    ):
        answer = stocked.ask("GET", address)
        assert answer.status_code == 422, address
        assert pointer in [fault["pointer"] for fault in answer.json()["faults"]]
    for address, name in itertools.product(
        ("items", "tables", "stock", "plans", "schemas"), ("%00", "a%00b", "%ed%a0%80", "x" * 3000)
    ):
        answer = stocked.ask("GET", f"/v1/{address}/{name}")
        assert (answer.status_code, answer.json()["type"]) == (404, "/v1/problems/not-found"), address


def test_days_beyond_the_calendar_are_refused_and_ten_years_are_not(stocked: Shop) -> None:
    def pointers(first: str, last: str) -> list[str]:
        order = {"job": "posts", "needed": {"from": first, "to": last}, "lines": [{"item": "stop-60", "count": 1}], **SIGNED}
        answer = stocked.ask("POST", "/v1/reservations", order)
        assert answer.status_code in (201, 422)
        return [fault["pointer"] for fault in answer.json().get("faults", ())]

    assert pointers("9999-12-30", "9999-12-31") == ["/needed/from", "/needed/to"]
    assert pointers(day(3661), day(3661)) == ["/needed/to"]
    assert pointers(day(0), day(3660)) == ["/needed/to"]
    assert pointers(day(1), day(3660)) == []
    for move in ({"from": day(3661), "to": day(3661)}, {"from": "9999-12-30", "to": "9999-12-31"}):
        assert stocked.step(1, "move", "*", needed=move).status_code == 422
    assert stocked.ask("GET", "/v1/stock/hits").status_code == 200
