"""Changed rules as somebody types them, and what they do to the plans there are, as the page shows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from service.documents.rescoring.kept_score import is_current
from service.documents.rules import judged
from service.records.job import WantedJobs
from service.records.jobs import JobRecords
from service.rescoring.effects import Effects, effects

MOST = 1000
"""So many plans, the newest, are looked at."""
LONGEST = 4000
"""So many characters of rules and numbers are read."""
AS_TYPED = "rules and numbers such as clear.weld = 20"
_FIELD = "/change"


@dataclass(frozen=True, slots=True)
class ChangedPlans:
    """What changed rules do: to plans with a score, and how many plans have none yet."""

    effects: Effects
    without: int

    @property
    def plans(self) -> tuple[dict[str, Any], ...]:
        """The plans that something changes for, as plain values."""
        return self.effects.shown


def read_changes(text: str) -> tuple[Mapping[str, float], tuple[Fault, ...]]:
    """Return rules and numbers of a text such as ``clear.weld = 20, time.pick_s = 7``, and what is wrong with it."""
    found: dict[str, float] = {}
    wrong = []
    for word in text.replace("\n", ",").replace(";", ",").split(","):
        if not word.strip():
            continue
        rule, sign, number = (each.strip() for each in word.partition("="))
        value = _number(number)
        if value is None or not sign or not rule:
            wrong.append(Fault(_FIELD, f"{shown(word.strip())} is no rule with a number", AS_TYPED))
        if value is not None:
            found[rule] = value
    try:
        judged({name: number for name, number in found.items() if name})
    except InvalidDocument as refused:
        wrong += [Fault(_FIELD, f"{each.pointer.rpartition('/')[2]}: {each.wrong}", each.accepted) for each in refused.faults]
    return found, tuple(wrong)


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def changed_plans(records: JobRecords, rules: Mapping[str, float]) -> ChangedPlans:
    """Return what changed rules do to the newest plans."""
    jobs = records.scored(WantedJobs(), None, MOST)
    scored = [job for job in jobs if job.score is not None and is_current(job.score)]
    return ChangedPlans(effects(scored, rules, all_shown=False), len(jobs) - len(scored))
