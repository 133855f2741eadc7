"""Whether a re-plan's change list can be done, one step after another, from the plan that stands to the new one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.tables import Hole
from solver.checks.arithmetic.blocks import Block
from solver.checks.arithmetic.sweeps import sweep_meets
from solver.checks.report import fail, passed
from solver.checks.rules.bodies_apart import runs_into
from solver.checks.scene.scene import Scene, pegs_on_table
from solver.checks.tolerances import TOUCH
from solver.plans import Alternative, Change, Finding, Placement


@dataclass(frozen=True, eq=False)
class Stood:
    """A piece as it stands at some step: on which table, its placement, the table's holes it takes, its body with clamps open."""

    table: str
    placement: Placement
    holes: frozenset[Hole]
    body: tuple[Block, ...]


@dataclass
class Replay:
    """The table while the list is done: what stands, and where each piece of the new plan belongs."""

    standing: dict[str, Stood]
    goals: Mapping[str, Stood]
    lift: float
    """A piece goes straight up and down over its pegs, which are no longer than the table is thick, mm."""

    def done(self, number: int, change: Change) -> Iterator[Finding]:
        """Do one step; yield what is wrong with it."""
        subject = f"{number} {change.piece}"
        stood, goal = self.standing.get(change.piece), self.goals.get(change.piece)
        yield from _said(subject, change, stood, goal)
        if stood is not None:
            yield from self._leaves(subject, change, stood)
            del self.standing[change.piece]
        if change.do != "take_off" and goal is not None:
            yield from self._comes(subject, change, goal, stood)
            self.standing[change.piece] = goal

    def _leaves(self, subject: str, change: Change, stood: Stood) -> Iterator[Finding]:
        """Yield what stands on a piece that is touched, or over it where it has to come up."""
        for id, other in self.standing.items():
            if id != change.piece and other.placement.stands_on == change.piece and other.table == stood.table:
                yield fail("changes.carrier", subject, f"{id} still stands on it")
        if change.do != "set":
            yield from self._over(subject, change.piece, stood)

    def _comes(self, subject: str, change: Change, goal: Stood, stood: Stood | None) -> Iterator[Finding]:
        """Yield what is missing under a piece's new place, and what is in the way there."""
        carrier = goal.placement.stands_on
        if carrier is not None and self.standing.get(carrier) is not self.goals.get(carrier):
            yield fail("changes.carrier", subject, f"{carrier} does not stand where it carries it")
        for id, other in self._beside(change.piece, goal):
            if goal.holes & other.holes:
                yield fail("changes.hole", subject, f"{id} still stands in a hole it needs")
            elif runs_into(goal.body, other.body, TOUCH):
                yield fail("changes.body", subject, f"{id} still stands in its place", None, TOUCH, "mm")
            elif change.do == "set" and stood is not None and _slides_into(stood, goal, other):
                yield fail("changes.body", subject, f"{id} stands in the way of its slide", None, TOUCH, "mm")
        if change.do != "set":
            yield from self._over(subject, change.piece, goal)

    def _over(self, subject: str, piece: str, place: Stood) -> Iterator[Finding]:
        """Yield what stands over a place a piece comes to or leaves; two that are each over the other are tilted in together."""
        for id, other in self._beside(piece, place):
            if _rises_into(place, other, self.lift) and not _rises_into(other, place, self.lift):
                yield fail("changes.body", subject, f"{id} stands over it", None, self.lift, "mm")

    def _beside(self, piece: str, place: Stood) -> list[tuple[str, Stood]]:
        """Return what else stands on the table of a place; what the piece stands on there, or carries, is no neighbour."""
        below, at = set(), place.placement.stands_on
        while at is not None and at in self.standing and at not in below:
            below.add(at)
            at = self.standing[at].placement.stands_on
        return [
            (id, other)
            for id, other in self.standing.items()
            if id not in below and id != piece and other.table == place.table and other.placement.stands_on != piece
        ]


def check_changes(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield whether the change list leads from the plan to keep to this one, each step possible; without such a plan, no list."""
    keep, changes = scenes[0].request.keep, scenes[0].answer.changes
    if keep is None:
        if changes is not None:
            yield fail("changes.end", "plan", "the request keeps no plan that could be changed")
        return
    goals = {
        piece.id: Stood(scene.table.id, piece.placement, frozenset(_table_holes(piece.placement, piece.pegs)), piece.opened)
        for scene in scenes
        for piece in scene.pieces.values()
    }
    replay = Replay(_kept(scenes[0], keep), goals, scenes[0].table.thickness)
    for id, stood in replay.standing.items():
        if id in goals and _same(stood, goals[id]) and _below_stays(id, replay.standing, goals):
            replay.standing[id] = goals[id]
    wrong = [finding for number, change in enumerate(changes or (), 1) for finding in replay.done(number, change)]
    wrong += _end(replay)
    yield from wrong or [passed("changes.end", "plan", f"{len(changes or ())} steps")]


def _kept(scene: Scene, keep: Alternative) -> dict[str, Stood]:
    """Return what stands before the first step: bodies as the request lists them, pegs as the catalogue has them."""
    found = {}
    for placement in keep.placements:
        item = scene.stock.items.get(placement.item)
        pegs = pegs_on_table(placement, ((0, 0),) if item is None else item.pegs)
        opened = placement.solids if placement.open_solids is None else placement.open_solids
        holes, body = frozenset(_table_holes(placement, pegs)), tuple(Block.of(solid) for solid in opened)
        found[placement.id] = Stood(keep.table, placement, holes, body)
    return found


def _table_holes(placement: Placement, pegs: Sequence[Hole | None]) -> Iterator[Hole]:
    return (peg for peg in pegs if peg is not None and placement.stands_on is None)


def _below_stays(id: str, standing: Mapping[str, Stood], goals: Mapping[str, Stood]) -> bool:
    """Whether all that a piece stands on stays as it stands."""
    below, seen = standing[id].placement.stands_on, {id}
    while below is not None and below in standing and below not in seen:
        if below not in goals or not _same(standing[below], goals[below]):
            return False
        seen.add(below)
        below = standing[below].placement.stands_on
    return True


def _same(one: Stood, other: Stood) -> bool:
    return one.table == other.table and _standing(one.placement) == _standing(other.placement)


def _standing(placement: Placement) -> tuple[object, ...]:
    setting = None if placement.setting_mm is None else round(float(placement.setting_mm), 3)
    return placement.item, placement.hole, placement.stands_on, round(float(placement.turn) % 360, 6), setting


def _said(subject: str, change: Change, stood: Stood | None, goal: Stood | None) -> Iterator[Finding]:
    """Yield where a step's words do not fit what stands, or where its piece belongs."""
    before = (None, None) if stood is None else (stood.placement.hole, stood.placement.stands_on)
    if (change.do == "add") != (stood is None):
        yield fail("changes.step", subject, f"{change.do}: it {'stands nowhere' if stood is None else 'stands already'}")
    elif (change.hole_before, change.stands_on_before) != before:
        yield fail("changes.step", subject, f"it stands in {before[0]} or on {before[1]}, the list says otherwise")
    handled = goal if change.do != "take_off" else stood
    if handled is None:
        yield fail(
            "changes.step", subject, "the new plan has no such piece" if change.do != "take_off" else "nothing to take off"
        )
        return
    after = Placement("", change.item, change.hole, change.turn or 0.0, change.stands_on, change.setting_mm, (), (), None, ())
    if change.do != "take_off" and _standing(after) != _standing(handled.placement):
        yield fail("changes.step", subject, "item, place, turn and setting after the step are not the new plan's")
    if handled.placement.item != change.item or (stood is not None and stood.placement.item != change.item):
        yield fail("changes.step", subject, f"it is no {change.item}")
    if change.do == "set" and stood is not None and _standing(stood.placement)[:-1] != _standing(handled.placement)[:-1]:
        yield fail("changes.step", subject, "a piece that is only set stays where it is")
    if not change.why:
        yield fail("changes.step", subject, "the list does not say why")


def _rises_into(place: Stood, other: Stood, lift: float) -> bool:
    """Return whether a body, lifted straight so far, runs into another it is clear of where it stands."""
    way = np.array([0.0, 0.0, lift])
    for block in place.body:
        for still in other.body:
            core = still.shrunk(TOUCH + max(block.round_allowance, still.round_allowance))
            if core is not None and sweep_meets(block, way, core):
                return True
    return False


def _slides_into(stood: Stood, goal: Stood, other: Stood) -> bool:
    """Return whether what a setting moves runs into another body between the two settings."""
    for block, then in zip(stood.body, goal.body, strict=False):
        for still in other.body:
            core = still.shrunk(TOUCH + max(block.round_allowance, still.round_allowance))
            if core is not None and sweep_meets(block, then.pose[:3, 3] - block.pose[:3, 3], core):
                return True
    return False


def _end(replay: Replay) -> Iterator[Finding]:
    """Yield what does not stand after the last step as the new plan has it."""
    for id, goal in replay.goals.items():
        if replay.standing.get(id) is not goal:
            yield fail("changes.end", id, "after the last step it does not stand where the plan has it")
    for id in replay.standing:
        if id not in replay.goals:
            yield fail("changes.end", id, "after the last step it still stands; the plan has no such piece")
