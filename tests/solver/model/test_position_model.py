"""A position's model as a whole: both solvers agree on it, and it loops over whatever families there are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import pytest

from solver.deadline import Deadline
from solver.model import position_model
from solver.model.choice import Choice, Refusal
from solver.model.cpsat import solve
from solver.model.families import Broken, OnDemand
from solver.model.families.on_demand import ON_DEMAND
from solver.model.position_model import ModelOutcome, PositionModel
from solver.model.program import Rows
from solver.model.witness import witness
from tests import builders as b
from tests.solver.model.positions import choice, position
from tests.solver.model.small import bar


def asked(model: PositionModel, seconds: float = 60.0) -> ModelOutcome:
    return model.cheapest(Deadline(lambda: seconds), seed=1, work=None)


@pytest.mark.parametrize("phase", [(0, 5), (20, 5), (10, 5)])
def test_both_solvers_agree_on_whole_programs(phase: tuple[float, float]) -> None:
    """CP-SAT's optimum of positions of a tab on a tube, all that is asked of the first choice added, is HiGHS's."""
    model = PositionModel(position(b.request(b.tab_on_tube(), alternatives=1), b.plain_shelf(), phase))
    for family in model.on_demand[0]:
        for broken in family.broken(choice(model.problem, [])):
            model.program.add(broken.rows)
    ours = solve(model.program, seed=1, seconds=20)
    assert ours.verdict == "optimal"
    assert witness(model.program, 30) == ("optimal", ours.value)


@dataclass
class Whim(OnDemand):
    """A shop's whim: the clamp of each of the first three choices must not stand."""

    seen: list[int] = field(default_factory=list)

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield a row against a choice's clamp, as long as there were fewer than three."""
        if len(self.seen) < 3:
            clamp = next(index for index in choice.candidates if self.problem.candidates[index].clamp)
            self.seen.append(clamp)
            rows = Rows()
            rows.row("whim", [(self.variables.candidates[clamp], 1)], high=0)
            yield Broken(rows, Refusal("whim", f"clamp {clamp}", choice.cents))


def test_a_family_is_asked_of_every_choice_until_it_has_nothing_left_to_say(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(position_model, "ON_DEMAND", (*ON_DEMAND, (Whim,)))
    model = PositionModel(bar())
    outcome = asked(model)
    (whim,) = model.on_demand[-1]
    assert isinstance(whim, Whim)
    assert outcome.choice is not None and not set(outcome.choice.candidates) & set(whim.seen)
    assert [refusal.what for refusal in outcome.refusals] == [f"clamp {index}" for index in whim.seen]
    assert len(whim.seen) == 3


def test_later_families_are_not_shown_what_breaks_those_in_front(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(position_model, "ON_DEMAND", ((Whim,), (Whim,)))
    model = PositionModel(bar())
    asked(model)
    (first,), (second,) = model.on_demand
    assert isinstance(first, Whim) and isinstance(second, Whim)
    assert len(first.seen) == len(second.seen) == 3
    assert not set(first.seen) & set(second.seen)


def test_a_forbidden_choice_does_not_come_back() -> None:
    model = PositionModel(bar())
    first = asked(model).choice
    assert first is not None
    model.forbid(first)
    second = asked(model).choice
    assert second is not None and second.candidates != first.candidates and second.cents >= first.cents


def test_when_time_is_up_no_choice_is_returned() -> None:
    outcome = asked(PositionModel(bar()), seconds=0.0)
    assert outcome.choice is None and outcome.verdict == "unknown"
