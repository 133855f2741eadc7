"""What shuts next: demands of a position that stay impossible once those named are lifted, until something stands there.

In words: irreducible reasons are one way in which a position is impossible; there may be more, and each shuts it alone. What is
named is lifted; of what is left irreducible reasons are sought anew, also among the rules that only a choice can break, and
lifted too, until a choice breaks nothing that is still asked. All that was lifted together is then the cause: without it, a
fixture stands there.

Where contacts or clamps are lifted, parts lie there unheld, so holding is not asked of them; nor is the locating error of parts
whose locators are lifted. What is not asked is not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass

from solver.deadline import Deadline
from solver.explain.irreducible import APART, Demand, IrreducibleConflict, demand_of, demands_of, irreducible, only
from solver.model.choice import Choice
from solver.model.cpsat import solve
from solver.model.families import OnDemand
from solver.model.families.on_demand.accurate import Accurate
from solver.model.families.on_demand.held import RULE as HELD
from solver.model.families.on_demand.held import Held
from solver.model.families.on_demand.known_motions import KnownMotions
from solver.model.position_model import PositionModel
from solver.model.program import DEFINING, PRICING, Program, Rows

MOST_ROUNDS = 60
WHOLE = "weldment"
"""The subject of a reason that is about all parts."""
BESIDES: Mapping[str, tuple[str, ...]] = {
    "locate.side": (
        "locate.end", "locate.side_spacing_ratio", "locate.side_face_ratio", "locate.opposed", "locate.condition_max"
    ),
    "locate.end": ("locate.opposed", "locate.condition_max"),
    "locate.support": ("locate.support_points",),
    "open_dimensions.follow": (
        "locate.side", "locate.end", "locate.side_spacing_ratio", "locate.side_face_ratio", "locate.condition_max"
    ),
}  # fmt: skip
"""What a rule that no free piece keeps at all, wherever it stands, takes with it: what else the same contacts would give."""
UNHELD = ("locate.side", "locate.end", "locate.support", "locate.support_points", "clamp.per_length")
"""Rules without whose contacts a part is not held."""


@dataclass(frozen=True)
class ShutNext:
    """What else shuts a position, one conflict after the other, and whether a fixture stands with all of it lifted."""

    conflicts: tuple[IrreducibleConflict, ...]
    stands: bool

    @property
    def count(self) -> int:
        """How many demands are to be named besides those that were."""
        return sum(len(conflict.demands) for conflict in self.conflicts)


def taken_along(rule: str, subject: str) -> set[Demand]:
    """Return the demands that are lifted with a rule which shuts out every fixture by itself."""
    about = "" if subject == WHOLE else subject
    return {Demand(name, about) for name in (rule, *BESIDES.get(rule, ()))}


def shut_next(model: PositionModel, named: Iterable[Demand], deadline: Deadline) -> ShutNext:
    """Lift what is named at a position, and whatever shuts it next, until a choice stands."""
    lifted, found = set(named), list[IrreducibleConflict]()
    for _ in range(MOST_ROUNDS):
        if deadline.over:
            break
        asked = _without(model.program, lifted)
        solved = solve(asked, seed=1, seconds=deadline.seconds_left())
        if solved.values is not None:
            if not _breaks(model, model.choice_of(solved.values, 0), lifted, deadline):
                return ShutNext(tuple(found), not deadline.over)
            continue
        conflict = irreducible(asked, deadline) if solved.verdict == "infeasible" else None
        if conflict is None or not conflict.minimal:
            break
        found.append(conflict)
        lifted |= set(conflict.demands)
    return ShutNext(tuple(found), False)


def _is_lifted(demand: Demand, lifted: Set[Demand]) -> bool:
    if demand in lifted or Demand(demand.rule, "") in lifted:
        return True
    return demand.rule == HELD and any(other.rule in UNHELD for other in lifted)


def _without(program: Program, lifted: Set[Demand]) -> Program:
    return only(program, [demand for demand in demands_of(program) if not _is_lifted(demand, lifted)])


def _breaks(model: PositionModel, choice: Choice, lifted: Set[Demand], deadline: Deadline) -> bool:
    """Add the rows of what a choice breaks of all that is still asked; return whether it breaks anything."""
    for together in model.on_demand:
        breaks = False
        for family in together:
            if not _is_asked(family, lifted):
                continue
            for broken in family.broken(model.meant(family, choice)):
                if deadline.over:
                    return True
                if _asks(broken.rows, lifted):
                    model.program.add(broken.rows)
                    breaks = True
        if breaks:
            return True
    return False


def _is_asked(family: OnDemand, lifted: Set[Demand]) -> bool:
    """Return whether a family is worth asking with some demands lifted."""
    if isinstance(family, Held | KnownMotions):
        return not _is_lifted(Demand(HELD, ""), lifted)
    return not (isinstance(family, Accurate) and any(demand.rule.startswith("locate.") for demand in lifted))


def _asks(rows: Rows, lifted: Set[Demand]) -> bool:
    """Return whether any of some rows is of a demand that is not lifted."""
    asked = any(row.family not in PRICING + DEFINING and not _is_lifted(demand_of(row), lifted) for row in rows.rows)
    return asked or bool(rows.cliques and not _is_lifted(Demand(APART, ""), lifted))
