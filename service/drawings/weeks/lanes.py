"""Bars of a chart in lanes: jobs that share a table lie one above another, those on a set-up that stays in one lane."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True)
class JobBar:
    """A job in a chart: its number in the list, its days from the first, and the lane of its table."""

    number: int
    entry: Mapping[str, Any]
    held: int
    first: int
    last: int
    lane: int

    @property
    def stays(self) -> bool:
        """Whether its set-up stands from before."""
        return self.entry["stays_after"] is not None


def bars_of(week: Mapping[str, Any]) -> dict[str, list[JobBar]]:
    """Return the bars of each table of a ``holdwright.week-plan/1`` document, numbered through from the first table on."""
    start, number = date.fromisoformat(week["days"][0]), 0
    found: dict[str, list[JobBar]] = {}
    for table in week["tables"]:
        own = [entry for entry in week["assignments"] if entry["table"] == table]
        own.sort(key=lambda entry: (entry["days"]["from"], entry["job"]))
        lanes, found[table] = _lanes(own), []
        for entry in own:
            number += 1
            held, first, last = (
                (date.fromisoformat(day) - start).days
                for day in (entry["held"]["from"], entry["days"]["from"], entry["days"]["to"])
            )
            found[table].append(JobBar(number, entry, held, first, last, lanes[entry["job"]]))
    return found


def lanes_in(bars: Sequence[JobBar]) -> int:
    """Return how many lanes a table takes, one at least."""
    return max((bar.lane for bar in bars), default=0) + 1


def _lanes(entries: Sequence[Mapping[str, Any]]) -> dict[str, int]:
    """Return the lane of each job: jobs on a set-up that stays share one, which is theirs from the first to the last of them."""
    heads: dict[str, str] = {}
    ends: dict[str, str] = {}
    for entry in entries:
        head = entry["job"] if entry["stays_after"] is None else heads[entry["stays_after"]]
        heads[entry["job"]] = head
        ends[head] = max(ends.get(head, ""), entry["days"]["to"])
    lanes: dict[str, int] = {}
    until: list[str] = []
    for entry in entries:
        head = heads[entry["job"]]
        if head not in lanes:
            lane = next((k for k, day in enumerate(until) if day < entry["held"]["from"]), len(until))
            until[lane : lane + 1] = [ends[head]]
            lanes[head] = lane
    return {job: lanes[head] for job, head in heads.items()}
