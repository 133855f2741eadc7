"""Changed rules as somebody types them, and what they do to the plans there are, as the page shows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inventory.errors import InvalidDocument
from inventory.limits import shown
from service.documents.rescoring.kept_score import is_current
from service.documents.rules import judged
from service.records.job import WantedJobs
from service.records.jobs import JobRecords
from service.rescoring.effects import Effects, effects

MOST = 1000
"""So many plans, the newest, are looked at."""


@dataclass(frozen=True, slots=True)
class ChangedPlans:
    """What changed rules do: to plans with a score, and how many plans have none yet."""

    effects: Effects
    without: int

    @property
    def plans(self) -> tuple[dict[str, Any], ...]:
        """The plans that something changes for, as plain values."""
        return self.effects.shown


def read_changes(text: str) -> tuple[Mapping[str, float], tuple[str, ...]]:
    """Return rules and numbers of a text such as ``clear.weld = 20, time.pick_s = 7``, and what is wrong with it."""
    found: dict[str, float] = {}
    wrong = []
    for word in text.replace("\n", ",").replace(";", ",").split(","):
        if not word.strip():
            continue
        rule, sign, number = (each.strip() for each in word.partition("="))
        try:
            found[rule] = float(number)
        except ValueError:
            wrong.append(f"{shown(word.strip())} is no rule with a number, such as clear.weld = 20")
        else:
            if not sign or not rule:
                wrong.append(f"{shown(word.strip())} is no rule with a number, such as clear.weld = 20")
    try:
        judged({name: number for name, number in found.items() if name})
    except InvalidDocument as refused:
        wrong += [f"{fault.pointer.rpartition('/')[2]}: {fault.wrong}; accepted: {fault.accepted}" for fault in refused.faults]
    return found, tuple(wrong)


def changed_plans(records: JobRecords, rules: Mapping[str, float]) -> ChangedPlans:
    """Return what changed rules do to the newest plans."""
    jobs = records.scored(WantedJobs(), None, MOST)
    scored = [job for job in jobs if job.score is not None and is_current(job.score)]
    return ChangedPlans(effects(scored, rules, all_shown=False), len(jobs) - len(scored))
