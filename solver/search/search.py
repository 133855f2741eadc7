"""The search: lattice positions of all lies allowed, best first by the floor under their price.

In words: each position is a lie and a place of the lattice under the weldment. The one with the lowest floor is surveyed, then
seated, modelled and solved; what a question proves raises its floor. A question that takes long is put off with what is proved by
then, while others may be cheaper. When the next floor is no lower than the best price, the best is proved the cheapest.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from solver.deadline import DeadlinePassed
from solver.model.bounds.difference import RULE, Unlike
from solver.model.position_model import ModelOutcome, PositionModel
from solver.search import lies_to_positions
from solver.search.lattice_position import Fallen, Found, LatticePosition, Taken
from solver.search.next_position import next_position
from solver.search.position_models import model_at
from solver.search.preferred import preferred
from solver.search.state import MOST_DROPPED, SearchState

PATIENCE, FIRST_PATIENCE = 5, 20
"""So often a position's model is solved at a time before others that may be cheaper are asked; and until there is a fixture."""

FIRST_LATE_S = 0.4
"""The first fixture may be written down and checked for so long after time is up, s."""


@dataclass
class Search(SearchState):
    """The search over all lattice positions of one request; models once built are kept for the questions that follow."""

    def open(self) -> None:
        """Find all positions with the weldment on the table, and the floor under each."""
        with self.deadline.in_force():
            lies_to_positions.open_on_table(self)

    def open_as(self, other: Search) -> None:
        """Find all positions on the lies on the table that another search has found, for its request with other rules."""
        with self.deadline.in_force():
            lies_to_positions.open_as(self, other)

    def cheapest(
        self, unlike: Sequence[Taken], ceiling: int | None = None, *, first: bool = False
    ) -> tuple[Found | None, int | None, bool]:
        """Return the cheapest choice over all positions that differs from those taken, the proven bound, and whether proven.

        With `first` the search ends with the first choice it finds.
        """
        best: Found | None = None
        most = ceiling
        open_bounds: list[int] = []
        waiting = list(self.positions)
        heapq.heapify(waiting)
        proved = 0 if unlike else self.proved
        while best is None or best.choice.cents > proved:
            position = next_position(self, waiting, most)
            if position is None:
                break
            model = self._model(position)
            if model is None:
                open_bounds.append(position.floor)
                break
            outcome = self._ask(model, position, unlike, most)
            if outcome.open:
                self._raise(position, outcome, most)
                heapq.heappush(waiting, position)
                continue
            if outcome.verdict in ("unknown", "feasible"):
                self.worn |= not self.deadline.over
                open_bounds.append(max(position.floor, outcome.bound or 0))
            if outcome.choice is not None:
                try:
                    found = self._told(Found(position, model, outcome.choice), unlike, open_bounds, waiting)
                except DeadlinePassed:
                    open_bounds.append(position.floor)
                    break
                if found is None and self.tally.dropped >= MOST_DROPPED:
                    open_bounds.append(position.floor)
                    break
                if found is None:
                    continue
                best, most = found, outcome.choice.cents - 1
            self._raise(position, outcome, most)
            if first and best is not None:
                break
        ahead = [*(position.floor for position in waiting[:1]), *(opening.floor for opening in self.openings[:1])]
        open_bounds += [floor for floor in ahead if most is None or floor <= most]
        if self.unseen:
            open_bounds.append(self.price.cents(0.0))
        open_bounds = [bound for bound in (max(bound, proved) for bound in open_bounds) if most is None or bound <= most]
        proven = not open_bounds
        if best is not None:
            open_bounds.append(best.choice.cents)
            through = proven and best.choice.cents > proved
            best = preferred(self, best, partial(self._alike, unlike=unlike), through=through)
        return best, min(open_bounds, default=None), proven

    def _told(
        self, found: Found, unlike: Sequence[Taken], open_bounds: Sequence[int], waiting: list[LatticePosition]
    ) -> Found | None:
        """Return a fixture that was told of; None if the checker refuses it, and then its position is asked again.

        The first one may be written down although time is up, if it does not take long: there is nothing else to show.
        """
        self.tally.found += 1
        if unlike or self.announce is None:
            return found
        deadline = self.deadline.overrun(FIRST_LATE_S) if self.tally.found == 1 else self.deadline
        with deadline.in_force():
            written = self.announce(found, self._bound(found, open_bounds, waiting))
        if written is not None:
            return replace(found, written=written)
        self.tally.dropped += 1
        self.tally.found -= 1
        found.model.forbid(found.choice)
        heapq.heappush(waiting, found.position)
        return None

    def _bound(self, found: Found, open_bounds: Sequence[int], waiting: Sequence[LatticePosition]) -> int:
        """Return what any fixture costs at least, as far as proved while some positions wait, cents."""
        unseen = [self.price.cents(0.0)] if self.unseen else []
        ahead = [*(position.floor for position in waiting), *(opening.floor for opening in self.openings)]
        least = min([found.choice.cents, *open_bounds, *unseen, *self.left.values(), *ahead])
        return min(found.choice.cents, max(self.proved, least))

    def _raise(self, position: LatticePosition, outcome: ModelOutcome, most: int | None) -> None:
        """Raise a position's floor by what a question proved; later questions only ask for more, so it stays true for them."""
        orientation = position.orientation
        orientation.fruitless = 0 if outcome.choice is not None else orientation.fruitless + 1
        if outcome.bound is not None:
            position.floor = max(position.floor, outcome.bound)
        if outcome.verdict == "infeasible":
            if most is None:
                self.positions = [other for other in self.positions if other is not position]
                self.fallen.append(Fallen(position, model_at(self, position).program))
                position.model = None
            else:
                position.floor = max(position.floor, most + 1)

    def _model(self, position: LatticePosition) -> PositionModel | None:
        """Return the model of a position; None if time or work is up before it is built."""
        if self.deadline.over or self.out_of_work:
            return None
        with self.deadline.in_force():
            try:
                model = model_at(self, position)
            except DeadlinePassed:
                return None
        return None if self.deadline.over else model

    def _alike(self, position: LatticePosition, unlike: Sequence[Taken]) -> list[Unlike]:
        """Return the kits taken, and by how many pieces one at a position must differ: by any, on another table or side down."""
        here, least = (position.orientation.lie.down, position.table.id), int(self.request.rules[RULE])
        return [Unlike(kit, least if (down, table) == here else 1) for down, table, kit in unlike]

    def _ask(self, model: PositionModel, position: LatticePosition, unlike: Sequence[Taken], most: int | None) -> ModelOutcome:
        alike = self._alike(position, unlike)
        outcome = model.cheapest(
            self.deadline,
            seed=self.request.seed,
            work=self.work_left,
            ceiling=most,
            unlike=alike,
            patience=PATIENCE if self.tally.found else FIRST_PATIENCE,
        )
        self.tally.solves += outcome.solves
        self.tally.rounds += outcome.rounds
        self.tally.work += outcome.work
        self.tally.refusals += outcome.refusals
        if model.problem.arranger is not None and model.problem.arranger.unsure_cents is not None:
            self.untried("stations", model.problem.arranger.unsure_cents)
        return outcome
