"""Migrations move real rows, up and down, on both databases; all steps or none."""

from __future__ import annotations

from datetime import date

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from inventory.availability import Shortage
from inventory.reservations import Returned
from inventory.store import counts, documents, finding, open_store, reservations, schema_version
from inventory.store.engine import make_engine, writing
from inventory.store.errors import WrongSchema
from inventory.store.finding import Wanted
from inventory.store.schema import metadata
from tests.shelf import MONDAY, READERS, a_store, an_order, by, days, table_document

OLDEST = schema_version.SHELF.known()[0]
NEWER = {"reservation_lines": ("held",), "reservation_steps": ("key",), "journal": ("key",)}
"""Columns that later steps have added, by table."""
KEPT_THROUGHOUT = ("items", "lattice_tables", "stock", "reservations", "reservation_steps", "journal", "store_state")


def move(url: str, revision: str) -> None:
    engine = make_engine(url, 30)
    schema_version.SHELF.bring_to(writing(engine), revision)
    engine.dispose()


def rows(url: str, table: str) -> list[tuple[tuple[str, str], ...]]:
    engine = make_engine(url, 30)
    with engine.connect() as connection:
        found = connection.execute(sa.text(f"SELECT * FROM {table}"))
        result = sorted(tuple(sorted(zip(found.keys(), map(str, row), strict=True))) for row in found)
    engine.dispose()
    return result


def a_busy_shop(url: str) -> None:
    """Fill a store with rows of every kind and reservations in every state."""
    store = a_store(url, {"riser-75": 20, "stop-60": 8})

    def fill(connection: sa.Connection) -> None:
        from inventory.store import catalogue

        catalogue.put_table(connection, table_document(), None)
        reservations.propose(connection, an_order(2, job="proposed", riser_75=3), by())
        for job in ("reserved", "released", "expired", "out", "partly back", "back"):
            number = reservations.reserve(connection, an_order(2, 3, job=job, riser_75=3, stop_60=1), by("planner", "order")).id
            if job == "released":
                reservations.release(connection, number, by())
            if job in ("out", "partly back", "back"):
                reservations.hand_out(connection, number, by(), date(2027, 3, 2))
            if job == "partly back":
                reservations.take_back(connection, number, {"riser-75": Returned(whole=1, broken=1)}, by())
            if job == "back":
                reservations.take_back(connection, number, {"riser-75": Returned(2, 0, 1), "stop-60": Returned(1)}, by())

    store.write(fill)
    store.close()


def test_rows_of_every_kind_survive_the_way_down_and_up(database: str) -> None:
    a_busy_shop(database)
    before = {table: rows(database, table) for table in (*KEPT_THROUGHOUT, "reservation_lines", "promised")}
    move(database, OLDEST)
    for table in (*KEPT_THROUGHOUT, "reservation_lines"):
        older = sorted(tuple(pair for pair in row if pair[0] not in NEWER.get(table, ())) for row in before[table])
        assert rows(database, table) == older, table
    move(database, "head")
    assert {table: rows(database, table) for table in before} == before


def test_an_older_store_is_brought_up_when_opened_and_keeps_its_promises(database: str) -> None:
    a_busy_shop(database)
    free = a_store_again(database)
    move(database, OLDEST)
    with pytest.raises(WrongSchema, match=f"at schema {OLDEST}, this program needs"):
        open_store(database, READERS, upgrade=False)
    assert a_store_again(database) == free
    store = open_store(database, READERS)
    with pytest.raises(Shortage):
        store.reserve(an_order(2, riser_75=free["riser-75"] + 1), by())
    store.reserve(an_order(2, riser_75=free["riser-75"]), by())
    assert len(store.read(lambda c: finding.find(c, Wanted()))) == 8
    assert store.read(lambda c: counts.line(c, "riser-75")).out_of_service == 1
    store.close()


def a_store_again(url: str) -> dict[str, int]:
    """Open a store and return what is free of everything."""
    store = open_store(url, READERS)
    free = {line: store.snapshot(days(2), MONDAY).free(line) for line in ("riser-75", "stop-60")}
    store.close()
    return free


def test_documents_and_plans_are_gone_below_their_step_and_nothing_else(database: str) -> None:
    a_busy_shop(database)
    store = open_store(database, READERS)
    store.write(lambda c: documents.put_document(c, "rule_book", "shop", {}, by()))
    store.close()
    move(database, "0002")
    assert rows(database, "reservation_lines")
    move(database, "head")
    store = open_store(database, READERS)
    assert store.read(lambda c: documents.newest_version(c, "rule_book", "shop")) == 0
    store.close()


def test_all_the_way_down_leaves_nothing_but_the_version(database: str) -> None:
    a_busy_shop(database)
    move(database, "base")
    engine = make_engine(database, 30)
    assert sa.inspect(engine).get_table_names() == [schema_version.SHELF.version_table]
    engine.dispose()
    store = open_store(database, READERS)
    assert store.version() == 1
    store.close()


def test_the_migrations_build_what_the_program_expects(database: str) -> None:
    open_store(database, READERS).close()
    engine = make_engine(database, 30)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"version_table": schema_version.SHELF.version_table})
        assert compare_metadata(context, metadata) == []
        inspector = sa.inspect(connection)
        for table in metadata.sorted_tables:
            constraints = (*table.constraints, *(each for column in table.columns for each in column.constraints))
            declared = {str(check.name) for check in constraints if isinstance(check, sa.CheckConstraint)}
            assert {check["name"] for check in inspector.get_check_constraints(table.name)} == declared, table.name
    engine.dispose()


def test_a_step_that_fails_leaves_the_older_store_whole(database: str, monkeypatch: pytest.MonkeyPatch) -> None:
    a_busy_shop(database)
    move(database, OLDEST)
    before = rows(database, "reservation_lines")

    def fail(connection: sa.Connection) -> None:
        raise WrongSchema("nothing may be left behind")

    monkeypatch.setattr(schema_version, "_refuse_orphans", fail)
    with pytest.raises(WrongSchema, match="nothing may be left behind"):
        open_store(database, READERS)
    monkeypatch.undo()
    assert rows(database, "reservation_lines") == before
    open_store(database, READERS).close()
