"""`holdwright sweep`: what has been kept long enough goes, a dry run only says so."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

from inventory.store import Readers, open_store
from service.documents import read_item, read_table
from service.records.job import Job
from service.records.jobs import JobRecords
from tests.commands import holdwright


def store_with_an_old_job(folder: Path) -> str:
    url = f"sqlite:///{folder / 'shop.sqlite3'}"
    store = open_store(url, Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d))))
    old = datetime.now(UTC) - timedelta(days=20)
    records = JobRecords(store, "tests", 10, 24, clock=lambda: old).create()
    records.add(Job("old", "queued", old, "{}"), None, "", 5)
    records.leases.claim()
    records.leases.finish("old", "done", {"status": "optimal"})
    store.close()
    return url


def test_a_dry_run_says_what_the_next_one_removes(tmp_path: Path) -> None:
    url = store_with_an_old_job(tmp_path)
    kept = json.loads(holdwright("sweep", "--db", url, "--json").stdout)
    assert kept["jobs"] == 0  # 90 days are not over
    ten_days = dict(os.environ, HOLDWRIGHT_KEEP_JOBS_DAYS="10")
    for words, count in ((["--dry-run"], 1), (["--dry-run"], 1), ([], 1), ([], 0)):
        done = holdwright("sweep", "--db", url, *words, env=ten_days)
        assert done.returncode == 0, done.stderr
        (row,) = (line for line in done.stdout.splitlines() if line.startswith("jobs "))
        assert row.split() == ["jobs", str(count)]
        assert done.stdout.splitlines()[0].split() == ["what", *("would go" if words else "gone").split()]


def test_sweeping_makes_no_store(tmp_path: Path) -> None:
    missing = tmp_path / "shop.sqlite3"
    done = holdwright("sweep", "--db", f"sqlite:///{missing}")
    assert done.returncode == 2 and "there is no store" in done.stderr and not missing.exists()


def test_a_setting_out_of_range_is_refused(tmp_path: Path) -> None:
    url = store_with_an_old_job(tmp_path)
    done = holdwright("sweep", "--db", url, env=dict(os.environ, HOLDWRIGHT_KEEP_JOBS_DAYS="-1"))
    assert done.returncode == 2 and "HOLDWRIGHT_KEEP_JOBS_DAYS" in done.stderr
