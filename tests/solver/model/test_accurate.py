"""Accurate: locators too near each other, or too coarse, for a toleranced point make room for wider or truer ones."""

from __future__ import annotations

from functools import cache

from solver.model.families.on_demand.accurate import Accurate
from solver.position.locating_errors import locating_violations
from solver.position.problem import Problem
from solver.weldment import Tolerance
from tests import builders as b
from tests.solver.model.positions import Fixing, choice, facing, position, those


@cache
def toleranced() -> Problem:
    """A bar whose far corner may be off by 2 across, half of it by locating; stops true to 0.6 mm and stops true to 0.02."""
    corner = Tolerance("bar", (240.0, 25.0, 20.0), (0.0, 1.0, 0.0), 2.0)
    bar = b.weldment(b.bar(width=50, thickness=20, length=240, at=(0, 0, 10)), tolerances=(corner,))
    stops = (b.stop("coarse", repeatability_mm=0.6), 4), (b.stop("true", repeatability_mm=0.02), 4)
    return position(b.request(bar), b.shelf(*stops, (b.down_clamp(), 2)), (15, 0))


def side(item: str) -> list[int]:
    return those(toleranced(), facing(0, 1, item))


def end(item: str) -> int:
    return those(toleranced(), facing(-1, 0, item))[0]


def test_two_coarse_stops_close_together_ask_for_a_truer_or_a_wider_one() -> None:
    coarse, true = side("coarse"), side("true")
    narrow = [coarse[0], coarse[1], end("coarse")]
    rows = Fixing(toleranced())
    (broken,) = rows.on_demand(Accurate).broken(choice(toleranced(), narrow, cents=500))
    assert broken.refusal is not None
    assert (broken.refusal.rule, broken.refusal.cents) == ("locate.tolerance_share", 500)
    assert "locating error (mm) of bar" in broken.refusal.what
    rows.add([broken])
    assert not rows.allows(narrow)
    for better in ([true[0], true[1], end("true")], [true[0], true[-1], end("true")], [coarse[0], coarse[-1], end("coarse")]):
        assert not locating_violations(toleranced(), better)
        assert rows.allows(better)


def test_a_part_without_locators_is_in_no_condition() -> None:
    rows = Fixing(toleranced())
    (broken,) = rows.on_demand(Accurate).broken(choice(toleranced(), []))
    assert broken.refusal is not None and broken.refusal.rule == "locate.condition_max"
    rows.add([broken])
    assert not rows.allows([])


def test_a_true_choice_breaks_nothing() -> None:
    true = side("true")
    assert list(Fixing(toleranced()).on_demand(Accurate).broken(choice(toleranced(), [true[0], true[-1], end("true")]))) == []
