"""Gaps on the way, and parts that overlap: nothing is measured of them that another number could be held against."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from solver.rescoring.limits.limit_kind import LimitKind, Measurement, Rows, Trespass, never
from solver.rule_book.book import RuleBook

CLEAR, OVERLAP = "way.clear", "fit.overlap"


def _always(measured: Measurement) -> list[list[Any]]:
    return [[len(measured.scenes[0].parts)]]


def _moved(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    if after[CLEAR] != before[CLEAR]:
        yield Trespass(CLEAR, why="the gaps on the ways in and out are not measured")


def _overlapping(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    for (parts,) in rows:
        if after[OVERLAP] < before[OVERLAP] and parts > 1:
            yield Trespass(OVERLAP, why="how deep parts overlap is not measured")


WAYS = LimitKind("ways", (CLEAR,), _always, _moved, never)
PARTS = LimitKind("overlaps", (OVERLAP,), _always, _overlapping, never)
