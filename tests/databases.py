"""Databases for tests: an SQLite file each, and one private PostgreSQL cluster a run with a database each."""

from __future__ import annotations

import atexit
import functools
import itertools
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from tests.installed import told_once_installed

KINDS = ("sqlite", "postgresql")
INSTALLED = "POSTGRESQL_INSTALLED"
"""Set by `.ci/run` to a file that is there once PostgreSQL is, or could not be had, and says how that went."""
_NUMBERS = itertools.count(1)


@functools.cache
def postgresql_programs() -> Path | None:
    """Return the folder of PostgreSQL's own programs, None if it is not installed.

    Raises
    ------
    AssertionError
        If there is none and `.ci/run` said that there must be one.
    """
    told = told_once_installed(INSTALLED)
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    on_path = shutil.which("initdb")
    if not found and on_path is None and told is not None:
        raise AssertionError(f"PostgreSQL could not be installed, so nothing was tested on it:\n{told}")
    return found[-1].parent if found else Path(on_path).parent if on_path else None


@functools.cache
def cluster(durable: bool = False) -> str:
    """Start a private cluster on a unix socket, once a run, and return its socket folder; it ends with the run.

    Unless `durable`, it does not wait for the disk: tests kill its clients, never the server or the machine.
    """
    programs = postgresql_programs()
    assert programs is not None
    folder = Path(tempfile.mkdtemp(prefix="hw-pg-"))
    prefix: list[str] = []
    if os.geteuid() == 0:  # PostgreSQL refuses to run as root
        shutil.chown(folder, pwd.getpwnam("postgres").pw_uid, pwd.getpwnam("postgres").pw_gid)
        prefix = ["runuser", "-u", "postgres", "--"]
    data = folder / "data"

    def run(*words: object) -> None:
        subprocess.run([*prefix, *map(str, words)], check=True, stdout=subprocess.DEVNULL, cwd=folder, timeout=120)

    run(programs / "initdb", "-D", data, "-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale", "C", "--no-sync")
    options = f"-k {folder} -c listen_addresses='' -c max_connections=100 -c shared_buffers=64MB"
    options += "" if durable else " -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
    run(programs / "pg_ctl", "-D", data, "-w", "-l", folder / "log", "-o", options, "start")

    def stop() -> None:
        subprocess.run(
            [*prefix, programs / "pg_ctl", "-D", data, "-m", "immediate", "stop"], stdout=subprocess.DEVNULL, cwd="/", check=False
        )
        shutil.rmtree(folder, ignore_errors=True)

    owner = os.getpid()
    atexit.register(lambda: stop() if os.getpid() == owner else None)
    return str(folder)


def new_postgresql(durable: bool = False) -> str:
    """Return the URL of a new, empty database; skips the test, loudly, where PostgreSQL is not installed."""
    if postgresql_programs() is None:
        pytest.skip("POSTGRESQL IS NOT INSTALLED: nothing of this was tested on it (apt-get install postgresql)")
    socket, name = cluster(durable), f"t{os.getpid()}_{next(_NUMBERS)}"
    with psycopg.connect(host=socket, user="postgres", dbname="postgres", autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return f"postgresql://postgres@/{name}?host={socket}"


def new_database(kind: str, folder: Path, durable: bool = False) -> str:
    """Return the URL of a new, empty database of a kind."""
    return f"sqlite:///{folder / 'shop.sqlite3'}" if kind == "sqlite" else new_postgresql(durable)


@pytest.fixture(params=KINDS)
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A new, empty database: the same test runs on each kind."""
    yield new_database(request.param, tmp_path)
