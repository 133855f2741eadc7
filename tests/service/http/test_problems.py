"""Errors as problems: one table, nothing a use case refuses left out of it."""

from __future__ import annotations

from collections.abc import Iterator

import inventory.store.errors  # noqa: F401 - the classes below StoreError
from inventory.errors import Conflict, HoldwrightError, StoreError
from inventory.store.errors import NotFound, StoreBusy, WrongCopy
from service.errors import JobError, QueueFull, SolveDied
from service.http.problems import ERRORS, problem_of
from service.http.reference.problem_kinds import KINDS
from solver.statics.program import StaticsUndecided


def leaves(error: type[HoldwrightError]) -> Iterator[type[HoldwrightError]]:
    below = error.__subclasses__()
    if not below:
        yield error
    for each in below:
        yield from leaves(each)


def test_whatever_store_and_jobs_refuse_has_a_row() -> None:
    refused = {*leaves(StoreError), *leaves(JobError)} - {SolveDied, WrongCopy}  # raised by the command line alone
    assert {error for error in refused if not any(issubclass(error, row.error) for row in ERRORS)} == set()


def test_every_row_names_a_kind_of_problem_and_conflicts_are_the_callers() -> None:
    for row in ERRORS:
        assert row.kind in KINDS, row
        assert KINDS[row.kind].status in (409, 412) or not issubclass(row.error, Conflict), row


def test_an_error_is_told_in_its_own_words_and_says_when_to_ask_again() -> None:
    missing = problem_of(NotFound("item", "riser-75"))
    assert missing is not None and (missing.status, missing.detail) == (404, "there is no item riser-75")
    for error, seconds in ((QueueFull(3), "10"), (StoreBusy("others write"), "1")):
        busy = problem_of(error)
        assert busy is not None and (busy.status, busy.headers) == (503, {"Retry-After": seconds})


def test_an_error_nobody_should_meet_here_is_no_refusal() -> None:
    assert problem_of(StaticsUndecided("no answer")) is None
