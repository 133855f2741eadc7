"""The small weldments that family tests share, each laid at one position of the lattice."""

from __future__ import annotations

from functools import cache

from solver.position.problem import Problem
from tests import builders as b
from tests.solver.model.positions import clamping, facing, position, those

BAR = b.weldment(b.bar(width=50, thickness=20, length=240, at=(0, 0, 10)))


@cache
def bar() -> Problem:
    """A flat bar along x on the table, stops on three sides, down clamps that reach 60."""
    return position(b.request(BAR), b.shelf((b.stop(), 4), (b.down_clamp(), 2)), (15, 0))


@cache
def tab() -> Problem:
    """A tab on top of a tube, out over its side, on a plain shelf; some clamps press over air."""
    return position(b.request(b.tab_on_tube()), b.plain_shelf(), (0, 5))


def across(problem: Problem) -> list[int]:
    """Return stops that push along +y, from left to right."""
    return those(problem, facing(0, 1))


def behind(problem: Problem) -> list[int]:
    """Return stops that push along -y, from left to right."""
    return those(problem, facing(0, -1))


def ends(problem: Problem) -> list[int]:
    """Return stops at one end."""
    return those(problem, facing(1, 0)) or those(problem, facing(-1, 0))


def clamps(problem: Problem) -> list[int]:
    """Return clamps, from left to right."""
    return those(problem, clamping)
