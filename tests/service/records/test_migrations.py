"""The service's tables: built by their steps as the program expects them, and older stores keep their jobs."""

from __future__ import annotations

import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from inventory.store import open_store
from inventory.store.engine import make_engine, writing
from service.records.jobs import JobRecords
from service.records.schema import SERVICE, metadata
from tests.databases import database
from tests.shelf import READERS

__all__ = ["database"]


def test_the_steps_build_what_the_program_expects(database: str) -> None:
    store = open_store(database, READERS)
    JobRecords(store, "a", lease_s=10, key_hours=24).create()
    ours = {table.name for table in metadata.sorted_tables}
    options = {
        "version_table": SERVICE.version_table,
        "include_name": lambda name, kind, parents: kind != "table" or name in ours,
    }
    with store.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection, opts=options), metadata) == []
        inspector = sa.inspect(connection)
        for table in metadata.sorted_tables:
            declared = {str(check.name) for check in table.constraints if isinstance(check, sa.CheckConstraint)}
            assert {check["name"] for check in inspector.get_check_constraints(table.name)} == declared, table.name
    store.close()


def test_jobs_of_an_older_store_are_still_there_and_their_plans_status_is_known(database: str) -> None:
    open_store(database, READERS).close()
    engine = make_engine(database, 30)
    SERVICE.bring_to(writing(engine), "0001")
    with engine.begin() as connection:
        old = sa.table(
            "plan_jobs", *map(sa.column, ("id", "state", "created_at", "attempts", "cancel_asked", "request", "warnings"))
        )
        values = {
            "created_at": "2027-03-01 12:00:00.000000",
            "attempts": 1,
            "cancel_asked": False,
            "request": "{}",
            "warnings": "[]",
        }
        done = sa.text(
            "INSERT INTO plan_jobs (id, state, created_at, attempts, cancel_asked, request, warnings, plan)"
            " VALUES ('one', 'done', '2027-03-01 12:00:00.000000', 1, :no, '{}', '[]', '{\"status\": \"optimal\"}')"
        )
        connection.execute(done, {"no": False})
        connection.execute(
            old.insert().values(id="two", state="queued", **{**values, "created_at": sa.text("'2027-03-01 12:00:00'")})
        )
    engine.dispose()
    store = open_store(database, READERS)
    records = JobRecords(store, "a", lease_s=10, key_hours=24).create()
    one, two = records.get("one"), records.get("two")
    assert one is not None and one.plan == {"status": "optimal"} and two is not None and two.open
    with store.engine.connect() as connection:
        assert connection.execute(sa.text("SELECT status FROM plan_jobs ORDER BY id")).scalars().all() == ["optimal", None]
    store.close()


def test_all_the_way_down_leaves_the_stock_alone(database: str) -> None:
    store = open_store(database, READERS)
    before = set(sa.inspect(store.engine).get_table_names())
    JobRecords(store, "a", lease_s=10, key_hours=24).create()
    SERVICE.bring_to(writing(store.engine), "base")
    assert set(sa.inspect(store.engine).get_table_names()) - before == {SERVICE.version_table}
    store.close()
