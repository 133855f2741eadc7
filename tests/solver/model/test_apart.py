"""Apart: no two bodies in one place, each peg its own hole."""

from __future__ import annotations

from solver.model.cliques import cover, split
from solver.model.families.on_demand.apart import Apart
from tests.solver.model.positions import Fixing, choice
from tests.solver.model.small import bar


def test_no_two_bodies_in_one_place_each_peg_its_own_hole() -> None:
    problem, rows = bar(), Fixing(bar())
    assert rows.add(rows.on_demand(Apart).broken(choice(problem, [0]))) == 1
    assert problem.conflicts
    for one, other in sorted(problem.conflicts)[:20]:
        assert not rows.allows([one, other])
    free = next((i, j) for j in range(len(problem.candidates)) for i in range(j) if (i, j) not in problem.conflicts)
    assert rows.allows(free)


def test_all_of_it_is_written_down_for_the_first_choice() -> None:
    family = Fixing(bar()).on_demand(Apart)
    assert len(list(family.broken(choice(bar(), [0])))) == 1
    one, other = min(bar().conflicts)
    assert list(family.broken(choice(bar(), [one, other]))) == []


def test_the_cliques_cover_every_conflict_and_nothing_else() -> None:
    pairs = {(i, j) for clique in cover(bar().neighbours) for i in clique for j in clique if i < j}
    assert pairs == bar().conflicts


def test_some_candidates_split_into_cliques_each_in_one() -> None:
    members = frozenset(range(0, len(bar().candidates), 2))
    found = split(members, bar().neighbours)
    assert sorted(k for clique in found for k in clique) == sorted(members)
    assert len(found) < len(members)
    assert all((i, j) in bar().conflicts for clique in found for i in clique for j in clique if i < j)
