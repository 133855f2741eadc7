"""The database: whether it is there, can be written, has the right schema and the right time, and what is stuck in it."""

from __future__ import annotations

import stat
from collections.abc import Generator, Iterator
from datetime import UTC, datetime

from inventory.errors import HoldwrightError
from inventory.store import shown_url
from inventory.store.engine import file_of
from inventory.store.probe import Engine, disk_kind, looked_at, program_version, refuse_damaged, time_there
from inventory.store.schema_version import SHELF
from inventory.store.writable import try_to_write
from service.doctor.examined import Examined
from service.doctor.machine import room
from service.records import rule_books
from service.records.figures import ServiceFigures, figures_of, live_workers
from service.records.schema import SERVICE
from service.settings import Settings
from service.stored_weldments.whole import altered_weldments

_PATIENCE_S = 5.0
_CLOCKS_APART_S = 2.0
_LATELY_S = 60.0
_WAITED_LONG_S = 900.0


def examine_database(settings: Settings) -> Iterator[Examined]:
    """Look at the database without making it, bringing it up to date or changing it."""
    shown, file = shown_url(settings.db), file_of(settings.db)
    if file is not None and not file.exists():
        yield Examined("database", "warning", f"there is no {file} yet", "nothing, if it is to be new: the first server makes it")
        return
    try:
        with looked_at(settings.db, _PATIENCE_S) as engine:
            with engine.connect() as connection:
                yield Examined("database", "ok", f"{shown} answers, {program_version(connection)}")
            current = yield from _schema(engine)
            yield from _written(engine) if current else ()
            yield from _clock(engine)
            if file is not None:
                yield from _file(settings)
            yield from _contents(engine, settings) if current else ()
    except HoldwrightError as error:
        yield Examined(
            "database", "wrong", f"{shown}: {error}", "see that it runs, and that HOLDWRIGHT_DB or --db names it rightly"
        )


def _schema(engine: Engine) -> Generator[Examined, None, bool]:
    """Yield how the schema is; return whether it is this program's."""
    found, current = [], True
    try:
        with engine.connect() as connection:
            for history in (SHELF, SERVICE):
                revision, newest = history.current(connection), history.known()[-1]
                current &= revision == newest
                found.append(f"{revision or 'none'} of {newest}")
    except HoldwrightError as error:
        yield Examined("schema", "wrong", str(error), "install the newer version, or name another database")
        return False
    words = ", ".join(found)
    if current:
        yield Examined("schema", "ok", words)
    else:
        yield Examined("schema", "warning", words, "make a copy (`holdwright backup`); the next server brings it up to date")
    return current


def _written(engine: Engine) -> Iterator[Examined]:
    try:
        try_to_write(engine)
        with engine.connect() as connection:
            refuse_damaged(connection)
    except HoldwrightError as error:
        yield Examined("writing", "wrong", str(error), "put a copy back (`holdwright restore`), or let this user write it")
    else:
        yield Examined("writing", "ok", "a write was tried and taken back")


def _clock(engine: Engine) -> Iterator[Examined]:
    with engine.connect() as connection:
        there = time_there(connection)
    if there is None:
        return
    apart_s = abs((there - datetime.now(UTC)).total_seconds())
    found = f"{apart_s:.1f} s from the database's"
    if apart_s > _CLOCKS_APART_S:
        yield Examined("clock", "wrong", found, "set both machines by the same time service: leases of jobs go by the clock")
    else:
        yield Examined("clock", "ok", found)


def _file(settings: Settings) -> Iterator[Examined]:
    file = file_of(settings.db)
    assert file is not None
    kind = disk_kind(file)
    yield Examined("database file", "ok", f"on a local disk ({kind})")
    mode = stat.S_IMODE(file.stat().st_mode)
    if mode & 0o077:
        yield Examined("permissions", "warning", f"{file} has {mode:04o}: others may read it", f"chmod 600 {file}")
    else:
        yield Examined("permissions", "ok", f"{file} has {mode:04o}")
    yield room("database disk", file.resolve().parent)


def _contents(engine: Engine, settings: Settings) -> Iterator[Examined]:
    with engine.connect() as connection:
        figures, workers = figures_of(connection, datetime.now(UTC)), live_workers(connection, _LATELY_S)
        kept = {"rule books": (rule_books.count(connection), rule_books.altered(connection))}
        kept["stored weldments"] = altered_weldments(connection)
    yield _stuck(figures)
    for what, (versions, altered) in kept.items():
        if altered:
            words = f"{altered[0]} no longer says what it said" + (f", nor do {len(altered) - 1} more" if altered[1:] else "")
            yield Examined(what, "wrong", words, "put a copy of the database back (`holdwright restore`)")
        elif versions:
            yield Examined(what, "ok", f"{versions} versions say what they said when they were made")
    if workers is not None:
        if workers == 0 and figures.jobs["queued"]:
            words = f"none, while {figures.jobs['queued']} jobs wait"
            yield Examined("queue workers", "wrong", words, "start `holdwright worker`")
        else:
            yield Examined("queue workers", "ok", f"{workers} heard of in the last minute")
    dead = figures.deliveries["dead"]
    if dead:
        yield Examined("webhooks", "warning", f"{dead} messages were given up", "see what their addresses answer")
    if figures.keys:
        yield Examined("keys", "ok", f"{figures.keys}")
    elif settings.host in ("127.0.0.1", "::1", "localhost"):
        yield Examined("keys", "ok", "none; only this machine can reach the server")
    else:
        words = f"none, and {settings.host} is reached from other machines"
        yield Examined("keys", "wrong", words, "make one, or listen on 127.0.0.1")


def _stuck(figures: ServiceFigures) -> Examined:
    since = figures.waiting_since
    waited_s = 0.0 if since is None else (datetime.now(UTC) - since).total_seconds()
    found = f"{figures.jobs['running']} run, {figures.jobs['queued']} wait"
    if figures.overdue:
        words = f"{found}; {figures.overdue} run by a server that is gone"
        return Examined("jobs", "warning", words, "start a server: it takes them up again")
    if waited_s > _WAITED_LONG_S:
        return Examined("jobs", "warning", f"{found}, the first for {waited_s / 60:.0f} min", "start a server, or more workers")
    return Examined("jobs", "ok", found)
