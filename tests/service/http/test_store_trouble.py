"""A store that is in trouble while it is served: nothing is acknowledged, and no answer names a file, an address or a user."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inventory.store.errors import ReadOnlyStore, StoreBusy, StoreUnusable, Unreachable, WrongSchema
from service.http.problems import problem_of
from tests.service.http.shop import Shop


@pytest.fixture
def on_file(tmp_path: Path) -> Iterator[Shop]:
    shop = Shop(f"sqlite:///{tmp_path}/shop.sqlite3")
    shop.add("riser-75", 6)
    yield shop
    shop.store.close()


def test_a_store_that_is_gone_takes_no_order_and_is_not_ready(on_file: Shop, tmp_path: Path) -> None:
    assert on_file.reserve(riser_75=1).status_code == 201
    (tmp_path / "shop.sqlite3").unlink()
    for answer in (on_file.reserve(riser_75=1), on_file.ask("GET", "/v1/stock")):
        assert (answer.status_code, answer.json()["type"]) == (503, "/v1/problems/store")
        assert answer.json()["detail"] == "the store is gone from its place; nothing is written"
    ready = on_file.ask("GET", "/readyz")
    assert (ready.status_code, ready.json()["status"]) == (503, "not ready")
    assert str(tmp_path) not in ready.text + answer.text


def test_a_store_that_takes_writes_is_ready(shop: Shop) -> None:
    checks = shop.ask("GET", "/readyz").json()["checks"]
    assert (checks["store"], checks["stock"]) == ("ok", "ok")


@pytest.mark.parametrize("error", [StoreBusy, StoreUnusable, ReadOnlyStore, Unreachable, WrongSchema])
def test_what_the_database_said_stays_in_the_log(error: type[Exception], caplog: pytest.LogCaptureFixture) -> None:
    said = "connection to server at 10.1.2.3 failed for user planner: /srv/shop.sqlite3"
    problem = problem_of(error(said))  # type: ignore[arg-type]
    assert problem is not None and problem.status == 503
    assert said not in str(problem.document())
    assert said in caplog.text
