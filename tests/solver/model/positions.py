"""The smallest weldments' pose models, to fix single candidates in and ask what follows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.hardware.candidates import Candidate
from solver.laying.lay_out import drawn_samples
from solver.model.families import FIRST, THEN
from solver.model.position_model import PositionModel
from solver.model.program import Program
from solver.model.variables import declare
from solver.model.witness import feasible
from solver.request import Request
from solver.search.batch_survey import survey_together
from solver.search.lattice_position import LatticePosition
from solver.search.position_models import model_at
from solver.search.search import Search


def models(request: Request, stock: StockSnapshot) -> Iterator[tuple[LatticePosition, PositionModel]]:
    """Return every surveyed pose of a request with its model."""
    samples, _ = drawn_samples(request.weldment, request.rules)
    search = Search(request, stock, samples, Deadline(lambda: 1000.0))
    search.open()
    for pose in list(search.positions):
        for running in survey_together(search, [pose]):
            yield running, model_at(search, running)


@dataclass(frozen=True)
class Family:
    """One family's rows alone on a pose's candidates (and the declaration of sides, where asked)."""

    model: PositionModel
    families: tuple[object, ...]

    def program(self) -> tuple[Program, list[int]]:
        program = Program()
        variables = declare(program, self.model.problem)
        for family in self.families:
            family.post(program, variables, self.model.problem)  # type: ignore[attr-defined]
        return program, variables.candidates

    def allows(self, standing: Iterable[int], *, others: bool = False, without: Iterable[int] = ()) -> bool:
        """Return whether these candidates may stand: nothing else, or (`others`) whatever else is wanted but `without`."""
        program, stands = self.program()
        chosen, shunned = set(standing), set(without)
        rows = list(program.rows)
        fixed = replace(program, rows=rows)
        for index, variable in enumerate(stands):
            if index in chosen:
                fixed.row("fixed", [(variable, 1)], 1, 1)
            elif not others or index in shunned:
                fixed.row("fixed", [(variable, 1)], 0, 0)
        return feasible(fixed, 20.0) == "optimal"


EVERY = (*FIRST, *THEN)


def those(model: PositionModel, wanted: Callable[[Candidate], bool]) -> list[int]:
    """Return the candidates of a kind, by their position along x, then y."""
    found = [index for index, candidate in enumerate(model.problem.candidates) if wanted(candidate)]
    return sorted(found, key=lambda index: tuple(model.problem.candidates[index].meetings[0].at[:2].round(3)))


def facing(x: float, y: float, item: str | None = None) -> Callable[[Candidate], bool]:
    """Return what picks locators that push along (x, y)."""
    return lambda c: (
        not c.clamp
        and (item is None or c.stack.top.id == item)
        and bool(abs(c.meetings[0].normal[0] - x) < 1e-6 and abs(c.meetings[0].normal[1] - y) < 1e-6)
    )
