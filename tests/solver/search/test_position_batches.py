"""Lattice positions surveyed in shares: the same plan for any number of workers, whatever becomes of them."""

from __future__ import annotations

import os
import signal
from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from service.documents import plan_document
from solver.deadline import Deadline
from solver.hardware.candidates import Lattice
from solver.laying.lay_out import drawn_samples
from solver.planning import plan
from solver.position.floors.screened_floors import Least, Survey, survey
from solver.request import Request
from solver.search import position_batches
from solver.search.search import Search
from tests import builders as b

HERE = os.getpid()
STOCK = b.plain_shelf()


def asked(job: str) -> Request:
    return b.request(b.weldment(b.bar(length=240)) if job == "bar" else b.tab_on_tube(), alternatives=3, seed=3)


def planned(job: str, workers: int) -> dict[str, Any]:
    """Return a job's plan document, solve time aside."""
    document = plan_document(plan(asked(job), STOCK, deadline=Deadline(lambda: 1000.0), workers=workers))
    assert document["stopped_by"] == "proof" and document["alternatives"]
    return {key: value for key, value in document.items() if key != "solve_s"}


@pytest.fixture
def forks(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Have every batch split, however small, and count the children."""
    forked: list[int] = []
    fork = os.fork

    def counted() -> int:
        forked.append(fork())
        return forked[-1]

    monkeypatch.setattr(position_batches, "SHARE_MATCHES", 1)
    monkeypatch.setattr(os, "fork", counted)
    return forked


@pytest.mark.slow
@pytest.mark.parametrize("job", ["bar", "tab"])
def test_any_number_of_workers_gives_the_same_plan(job: str, forks: list[int]) -> None:
    alone = planned(job, 1)
    assert not forks
    assert planned(job, 2) == alone
    two = len(forks)
    assert planned(job, 3) == alone
    assert len(forks) > 2 * two > 0


@pytest.mark.slow
def test_a_worker_that_is_killed_changes_nothing(forks: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    alone = planned("tab", 1)

    def killed(*words: Any) -> Survey:
        if os.getpid() != HERE:
            os.kill(os.getpid(), signal.SIGKILL)
        return survey(*words)

    monkeypatch.setattr(position_batches, "survey", killed)
    assert planned("tab", 3) == alone
    assert forks
    for child in forks:
        with pytest.raises(ChildProcessError):
            os.waitpid(child, os.WNOHANG)


def test_small_batches_are_not_split(forks: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(position_batches, "SHARE_MATCHES", 10**9)
    planned("bar", 8)
    assert not forks


@pytest.mark.parametrize("job", ["bar", "tab"])
def test_what_is_told_of_a_lattice_does_not_depend_on_the_others(job: str) -> None:
    request = asked(job)
    search = Search(request, STOCK, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 1000.0))
    search.open()
    orientation = search.positions[0].orientation
    lattices = [position.lattice for position in search.positions if position.orientation is orientation][:12]
    free = _surveyed(orientation, lattices)
    for most in (np.inf, float(np.median(free[0].floor))):
        whole, refused = _surveyed(orientation, lattices, most)
        shares = [_surveyed(orientation, lattices[some], most) for some in (slice(1), slice(1, 7), slice(7, None))]
        joined, counted = Survey.joined([share for share, _ in shares]), sum((each for _, each in shares), Counter())
        for name in ("floor", "complete", "lacking"):
            assert getattr(joined, name).tobytes() == getattr(whole, name).tobytes()
        assert +counted == +refused


def _surveyed(orientation: Any, lattices: Sequence[Lattice], most: float = np.inf) -> tuple[Survey, Counter[str]]:
    refused: Counter[str] = Counter()
    locating, pressing = orientation.bounds.shares_at(np.array([lattice.phase for lattice in lattices]))
    return survey(orientation.bounds, orientation.torch, lattices, Least(locating, pressing, most), refused), refused
