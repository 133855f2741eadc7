"""What a setup or a cycle consists of, as the price counts it: a form in the time rules, with the seconds they do not touch.

setup: (walk + pick x pieces + stack x pieces standing on another + check x parts + the pieces' own seconds), x repeat_ratio if it
was set before. cycle: (load x parts + unload + clamps and pulled pieces) x (1 - round_share x (1 - 1/n)) for n stations.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from inventory.items import Item
from solver.cost import exact
from solver.plans import Alternative

What = Literal["setup", "cycle"]
Rules = Mapping[str, float]

WALK, PICK, STACK, CHECK, REPEAT = "time.walk_s", "time.pick_s", "time.stack_s", "time.check_s", "time.repeat_ratio"
LOAD, UNLOAD, ROUND = "time.load_s", "time.unload_s", "time.round_share"


@dataclass(frozen=True, slots=True)
class TimeForm:
    """A time as the price has it: (counts x rules of seconds + own seconds) x (alone + together x the rule that is a share).

    `counts` belong to all rules of the work but the last, which is the share.
    """

    counts: tuple[float, ...]
    own_s: float
    alone: float
    together: float

    def seconds(self, values: Sequence[float]) -> float:
        """Return the time by the rules' values, in the order of the work's `RULES`, before it is rounded up."""
        first = sum(count * value for count, value in zip(self.counts, values[:-1], strict=True)) + self.own_s
        return first * (self.alone + self.together * values[-1])


@dataclass(frozen=True, slots=True)
class SetupWork:
    """The work of setting a fixture up, all stations together.

    Parameters
    ----------
    pieces, stacked, parts, stations : int
        Pieces placed; those of them that stand on another; parts checked; stations, which `parts` counts together.
    own_s : float
        Seconds of placing and setting, which the catalogue has piece by piece.
    repeated : bool
        Whether this plan had been set before.
    """

    RULES: ClassVar[tuple[str, ...]] = (WALK, PICK, STACK, CHECK, REPEAT)

    pieces: int
    stacked: int
    parts: int
    stations: int
    own_s: float
    repeated: bool

    @property
    def form(self) -> TimeForm:
        """Return the setup time as a form in `RULES`."""
        counts = (1.0, float(self.pieces), float(self.stacked), float(self.parts))
        return TimeForm(counts, self.own_s, 0.0 if self.repeated else 1.0, 1.0 if self.repeated else 0.0)


@dataclass(frozen=True, slots=True)
class CycleWork:
    """The work of one cycle at one station, arc time not included.

    Parameters
    ----------
    parts, stations : int
        Parts of one weldment; equal stations on the table.
    own_s : float
        Seconds of closing and opening clamps and of pulling pieces, which the catalogue has.
    """

    RULES: ClassVar[tuple[str, ...]] = (LOAD, UNLOAD, ROUND)

    parts: int
    stations: int
    own_s: float

    @property
    def form(self) -> TimeForm:
        """Return the cycle time a weldment as a form in `RULES`."""
        return TimeForm((float(self.parts), 1.0), self.own_s, 1.0, 1 / self.stations - 1)


Work = SetupWork | CycleWork


def planned_seconds(work: Work, rules: Rules) -> float:
    """Return what a rule book predicts for some work, seconds, before it is rounded up."""
    return work.form.seconds([rules[name] for name in work.RULES])


def work_of(what: What, alternative: Alternative, rules: Rules, items: Mapping[str, Item], set_before: bool) -> Work:
    """Return the work of an alternative's setup or cycle.

    Parameters
    ----------
    rules : mapping
        The rule book the plan was made by, resolved.
    items : mapping
        The catalogue. Where it no longer gives the times the plan was priced with, the seconds the rules do not touch are what
        the plan's own figure leaves, right to the second it was rounded up by.
    set_before : bool
        Whether the plan was priced as one that had been set before.
    """
    return _setup(alternative, rules, items, set_before) if what == "setup" else _cycle(alternative, rules, items)


def _setup(alternative: Alternative, rules: Rules, items: Mapping[str, Item], set_before: bool) -> SetupWork:
    pieces = [items.get(each.item) for each in alternative.placements]
    stacked = sum(each.stands_on is not None for each in alternative.placements)
    own = _sum([None if item is None else item.place_s + (item.set_s if item.slide is not None else 0) for item in pieces])
    bare = SetupWork(len(pieces), stacked, len(alternative.parts), len(alternative.stations), 0.0, set_before)
    share = rules[REPEAT] if set_before else 1.0
    return replace(bare, own_s=_own(bare, rules, share, alternative.setup_s, own))


def _cycle(alternative: Alternative, rules: Rules, items: Mapping[str, Item]) -> CycleWork:
    stations = len(alternative.stations)
    clamps = [
        None if item is None else 0.0 if item.clamp is None else item.clamp.close_s + item.clamp.open_s
        for item in (items.get(each.item) for each in alternative.placements)
    ]
    named = {each.id: each.item for each in alternative.placements}
    pulled = [items.get(named.get(id, "")) for id in alternative.unload.pull]
    closing, pulling = _sum(clamps), _sum([None if item is None else item.pull_s for item in pulled])
    own = None if closing is None or pulling is None else closing / stations + pulling
    bare = CycleWork(len(alternative.parts) // stations, stations, 0.0)
    share = 1 - rules[ROUND] * (1 - 1 / stations)
    return replace(bare, own_s=_own(bare, rules, share, alternative.cycle_s, own))


def _own(bare: Work, rules: Rules, share: float, planned_s: int, own: float | None) -> float:
    """Return the seconds beside the rules: by the catalogue if they give the plan's figure, else what that figure leaves."""
    by_rules = planned_seconds(bare, rules)
    if own is not None and math.ceil(exact(round(by_rules + own * share, 6))) == planned_s:
        return own
    return max(0.0, (planned_s - by_rules) / share) if share > 0 else own or 0.0


def _sum(seconds: list[float | None]) -> float | None:
    known = [each for each in seconds if each is not None]
    return math.fsum(known) if len(known) == len(seconds) else None
