"""A simulated shop floor: fixtures of known work, timed by known rules, with scatter and gross errors."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from solver.rule_book.book import RuleBook
from solver.time_study.reports import MeasuredTime
from solver.time_study.work import CycleWork, SetupWork, Work, planned_seconds

PRESENT = RuleBook().resolved()
TRUTH: Mapping[str, float] = {
    **PRESENT,
    "time.walk_s": 95.0, "time.pick_s": 9.0, "time.stack_s": 22.0, "time.check_s": 61.0, "time.repeat_ratio": 0.75,
    "time.load_s": 11.0, "time.unload_s": 14.0, "time.round_share": 0.3,
}  # fmt: skip
"""What the floor really needs; the rule book says 60, 6, 15, 45, 0.6, 8, 8 and 0.4."""


def measured_floor(
    seed: int, reports: int, plans: int, *, scatter: float = 0.08, gross: float = 0.0, stations: bool = True, stacks: bool = True
) -> list[MeasuredTime]:
    """Return `reports` setups and as many cycles; `gross` of them took 1.5 to 4 times as long, since somebody was called away."""
    drawn = np.random.default_rng(seed)
    works = []
    for _ in range(plans):
        parts = int(drawn.integers(2, 8))
        pieces = int(drawn.integers(2, 5)) * parts + int(drawn.integers(0, 6))
        stacked = int(drawn.integers(0, pieces // 3 + 1)) if stacks else 0
        many = int(drawn.integers(1, 4)) if stations and drawn.random() < 0.4 else 1
        works.append((pieces, stacked, parts, 35.0 * pieces, many))
    found = []
    for k in range(reports):
        pieces, stacked, parts, own, many = works[k % plans]
        repeated = bool(drawn.random() < 0.3)
        both: tuple[Work, ...] = (SetupWork(pieces, stacked, parts, 1, own, repeated), CycleWork(parts, many, pieces // 4 * 4.0))
        for what, work in enumerate(both):
            seconds = planned_seconds(work, TRUTH) * (1 + scatter * drawn.standard_normal())
            if drawn.random() < gross:
                seconds *= drawn.uniform(1.5, 4)
            found.append(MeasuredTime(2 * k + what, f"p{k % plans}", 1, work, float(seconds)))
    return found
