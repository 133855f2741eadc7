"""Every route with a key of every role and with none, from the route table itself; what no table lists is refused."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.routing import iter_route_contexts
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Mount, Route

from inventory.store.errors import Unreachable
from service.access.rights import OPEN, RIGHTS
from service.http.routes import ROUTERS
from service.page.page import add_page
from service.records.keys import KeyRecords
from service.roles import ROLES
from tests.databases import new_database
from tests.service.http.keyed import KeyedShop


def routes() -> list[tuple[str, str, str]]:
    """Return the name, method and path of every route there is."""
    app = FastAPI(docs_url=None, redoc_url=None)
    for router in ROUTERS:
        app.include_router(router)
    add_page(app)
    return [
        (str(each.name), sorted(set(each.methods or ()) - {"HEAD"} or {"HEAD"})[0], str(each.path))
        for each in iter_route_contexts(app.routes)
    ]


ROUTES = routes()
NAMED = {"number": "999", "rank": "1"}


def address(path: str) -> str:
    """Return an address of a route that leads to nothing."""
    return re.sub(r"\{(\w+)(?::path)?\}", lambda found: NAMED.get(found[1], "nobody"), path)


@pytest.fixture(scope="module")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[KeyedShop]:
    opened = KeyedShop(new_database("sqlite", tmp_path_factory.mktemp("keyed")), rate_open=100_000, rate=100_000)
    yield opened
    opened.store.close()


def test_the_table_lists_every_route_and_nothing_else() -> None:
    names = {name for name, _, _ in ROUTES}
    assert names - set(RIGHTS) - OPEN == set(), "nobody may do these"
    assert (set(RIGHTS) | OPEN) - names == set(), "there are no such operations"
    assert set(RIGHTS) & OPEN == set()
    assert len(ROUTES) > 40


@pytest.mark.parametrize(("name", "method", "path"), ROUTES, ids=[name for name, _, _ in ROUTES])
def test_a_route_answers_those_who_may_and_nobody_else(keyed: KeyedShop, name: str, method: str, path: str) -> None:
    where = address(path)
    without = keyed.by(None, method, where)
    if name in OPEN:
        assert without.status_code not in (401, 403), without.text
    else:
        assert without.status_code == 401
        assert without.headers["WWW-Authenticate"].startswith("Bearer")
    for role in ROLES:
        answer = keyed.by(role, method, where)
        assert answer.status_code < 500 or name == "check_readiness", (role, answer.text)  # no worker was started
        if name in OPEN or role in RIGHTS[name]:
            assert answer.status_code not in (401, 403), (role, answer.text)
        else:
            assert answer.status_code == 403, role
            if method != "HEAD":
                assert (answer.json()["type"], answer.json()["roles"]) == ("/v1/problems/role", list(RIGHTS[name]))


def test_an_admin_may_do_everything_and_a_reader_changes_nothing() -> None:
    assert {name for name, roles in RIGHTS.items() if "admin" not in roles} == set()
    methods = {name: method for name, method, _ in ROUTES}
    assert {methods[name] for name, roles in RIGHTS.items() if "reader" in roles} == {"GET", "HEAD"}
    hidden = {"list_keys", "list_writes", "list_webhooks", "read_webhook", "list_deliveries", "read_delivery"}
    drafts = {"show_starts", "show_draft", "read_draft_space", "read_draft_document"}
    drafts |= {"show_ask", "find_asked_rules", "read_asked_request", "show_keeping"}
    assert {name for name in RIGHTS if methods[name] == "GET" and "reader" not in RIGHTS[name]} == hidden | drafts


def test_what_no_table_lists_nobody_may_use(tmp_path: Path) -> None:
    keyed = KeyedShop(new_database("sqlite", tmp_path))

    def secret(request: Request) -> PlainTextResponse:
        return PlainTextResponse("secret")

    app = keyed.app
    app.router.routes.insert(0, Route("/v1/plain", secret, name="plain"))
    assert keyed.by("admin", "GET", "/v1/plain").status_code == 403
    # Nor what is added after the first request, of whatever sort.
    app.add_api_route("/v1/later", secret, name="later")
    app.router.routes.append(Mount("/v1/mounted", Route("/x", secret), name="mounted"))
    for where in ("/v1/later", "/v1/mounted/x"):
        for key in ("admin", None):
            answer = keyed.by(key, "GET", where)
            assert (answer.status_code, "secret" in answer.text) == (403 if key else 401, False)
    assert "nobody may" in keyed.by("admin", "GET", "/v1/later").json()["detail"]
    keyed.store.close()


def test_head_needs_the_rights_of_get_and_unknown_addresses_say_nothing(keyed: KeyedShop) -> None:
    assert keyed.by(None, "HEAD", "/v1/items").status_code == 401
    assert keyed.by(None, "HEAD", "/v1/keys").status_code == 401
    assert keyed.by("reader", "HEAD", "/v1/keys").status_code == 403
    assert keyed.by(None, "GET", "/v1/nothing").status_code == 404
    assert keyed.by(None, "PUT", "/v1/plans").status_code == 405


def test_the_reference_says_who_may_what(keyed: KeyedShop) -> None:
    document = keyed.by(None, "GET", "/openapi.json").json()
    schemes = document["components"]["securitySchemes"]
    assert schemes["key"]["scheme"] == "bearer" and schemes["sign_in"]["in"] == "cookie"
    for methods in document["paths"].values():
        for operation in methods.values():
            name = operation["operationId"]
            if name in OPEN:
                assert operation["security"] == []
            else:
                assert operation["security"] == [{"key": []}, {"sign_in": []}]
                assert operation["x-roles"] == list(RIGHTS[name])
    assert "Needs a key: engineer, admin." in keyed.by(None, "GET", "/docs").text


def test_what_needs_no_key_is_answered_without_a_store(keyed: KeyedShop, monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(*words: object) -> None:
        raise Unreachable("the database does not answer")

    for name in ("any_made", "by_prefix"):
        monkeypatch.setattr(KeyRecords, name, gone)
    for where in ("/healthz", "/docs", "/v1/schemas"):
        assert keyed.by(None, "GET", where).status_code == 200
        assert keyed.by("reader", "GET", where).status_code == 200
    assert keyed.by("reader", "GET", "/v1/items").status_code == 503
    assert keyed.by("reader", "GET", "/readyz").json() == {"status": "not ready"}


def test_readiness_tells_those_with_a_key_what_is_wrong(keyed: KeyedShop) -> None:
    assert set(keyed.by(None, "GET", "/readyz").json()) == {"status"}
    assert set(keyed.by("reader", "GET", "/readyz").json()) == {"status", "checks"}
