"""This checkout beside another one: the same jobs, planned by both in turn, each in a process of its own.

    python -m tests.benchmarks compare OTHER_CHECKOUT [--rounds N] [--limit SECONDS] [--several] [JOB ...]

Both read the same documents, this checkout's, and run under the same interpreter. Old is the other checkout, new this one, ratio
new by old: below 1 is better. Times are CPU seconds of the process that plans, loading the libraries not counted; of several rounds
medians are shown. Rounds begin with one checkout and the other by turns, so that a machine that slows down harms both alike.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from statistics import median
from typing import Any

from tests.benchmarks import planning_run
from tests.benchmarks.shop import document_of, shop_document

JOBS = ("hinge-tab", "tee", "angle-bracket", "braced-frame")
ROUNDS = 1
LIMIT_S = 120.0
SEVERAL = 5
ROOT = Path(__file__).parents[2]
_ROWS = (
    ("first plan, s", "first_s", ".2f"),
    ("end, s", "end_s", ".2f"),
    ("one piece missing, s", "again_s", ".2f"),
    (f"{SEVERAL} alternatives, s", "several_s", ".2f"),
    ("price, cents", "cents", ".0f"),
    ("gap", "gap", ".3f"),
)
"""What each line shows: its words, a field of `Figures`, its format."""


@dataclass(frozen=True)
class Figures:
    """What a checkout took for a job and came to: CPU seconds, cents, gap; None where there is nothing. `status` may be a fault."""

    first_s: float | None = None
    end_s: float | None = None
    again_s: float | None = None
    several_s: float | None = None
    cents: float | None = None
    gap: float | None = None
    status: str = ""


@dataclass(frozen=True)
class Documents:
    """Where the request and the stock of a job lie, and within how many CPU seconds each planning ends."""

    request: Path
    stock: Path
    limit: float


def report(other: Path, names: Sequence[str], rounds: int = ROUNDS, limit: float = LIMIT_S, several: bool = False) -> None:
    """Print a table a job, old beside new."""
    folders = (other.resolve(), ROOT)
    print(f"old {_commit(folders[0])}, new {_commit(folders[1])}, {rounds} rounds, limit {limit:g} s")
    print(f"{'job':16} {'what':22} {'old':>11} {'new':>11} {'ratio':>7}")
    for name in names:
        old, new = compared(folders, document_of(name), shop_document(), rounds, limit, several)
        for line in lines(name, old, new):
            print(line, flush=True)


def compared(
    folders: tuple[Path, Path], request: bytes, stock: bytes, rounds: int, limit: float, several: bool
) -> tuple[Figures, Figures]:
    """Return a job's figures in two checkouts, medians over all rounds."""
    found: tuple[list[Figures], list[Figures]] = ([], [])
    with tempfile.TemporaryDirectory(prefix="hw-compare-") as scratch:
        documents = Documents(Path(scratch) / "request.json", Path(scratch) / "stock.json", limit)
        documents.request.write_bytes(request)
        documents.stock.write_bytes(stock)
        for number in range(rounds):
            for side in (0, 1) if number % 2 == 0 else (1, 0):
                found[side].append(measured(folders[side], documents, several))
    return _middle(found[0]), _middle(found[1])


def measured(folder: Path, documents: Documents, several: bool) -> Figures:
    """Return what one checkout takes for a job and comes to."""
    one = _ran(folder, documents, 1)
    if isinstance(one, str):
        return Figures(status=one)
    more = _ran(folder, documents, SEVERAL) if several else None
    del one["solver"]
    return Figures(**one, several_s=more["end_s"] if isinstance(more, dict) else None)


def lines(name: str, old: Figures, new: Figures) -> list[str]:
    """Return a job's table; what neither checkout has is left out."""
    rows = []
    for words, field, form in _ROWS:
        one, other = getattr(old, field), getattr(new, field)
        if one is not None or other is not None:
            ratio = f"{other / one:.2f}" if one and other is not None else ""
            rows.append((words, _shown(one, form), _shown(other, form), ratio))
    rows.append(("status", old.status, new.status, ""))
    return [
        f"{name if number == 0 else '':16} {words:22} {one:>11} {other:>11} {ratio:>7}".rstrip()
        for number, (words, one, other, ratio) in enumerate(rows)
    ]


def _ran(folder: Path, documents: Documents, alternatives: int) -> dict[str, Any] | str:
    """Return what the process that plans printed, or the last it said if it failed."""
    words = [str(documents.request), str(documents.stock), str(documents.limit), str(alternatives), str(int(alternatives == 1))]
    done = subprocess.run(
        [sys.executable, "-P", planning_run.__file__, *words],
        cwd=folder, env={**os.environ, "PYTHONPATH": str(folder)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        return (done.stderr.strip().splitlines() or [f"exit code {done.returncode}"])[-1]
    found: dict[str, Any] = json.loads(done.stdout)
    if Path(str(found["solver"])) != folder / "solver":
        raise RuntimeError(f"asked for the planner of {folder}, ran {found['solver']}")
    return found


def _middle(rounds: Sequence[Figures]) -> Figures:
    """Return the medians of several rounds; of a number that a round lacks, none."""
    middle: dict[str, float | None] = {}
    for field in fields(Figures)[:-1]:
        values = [getattr(entry, field.name) for entry in rounds]
        middle[field.name] = None if None in values else median(values)
    return Figures(**middle, status=" or ".join(sorted({entry.status for entry in rounds})))


def _commit(folder: Path) -> str:
    """Return a checkout's commit, marked if files were changed since; its path if it has none."""
    asked = ["git", "-C", str(folder), "describe", "--always", "--dirty", "--exclude=*"]
    done = subprocess.run(asked, capture_output=True, text=True, check=False)
    return str(folder) if done.returncode else done.stdout.strip()


def _shown(value: float | None, form: str) -> str:
    return "none" if value is None else format(value, form)
