"""Each constraint family alone: one candidate or two fixed on the smallest weldment, feasible or not as the trade says."""

from __future__ import annotations

from functools import cache
from random import Random

import numpy as np

from solver.cost import free_pieces
from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.model.cliques import cover, split
from solver.model.cpsat import solve
from solver.model.families.from_start import clamped, counted, located, opposed, spread
from solver.model.families.on_demand import apart, reachable, ways
from solver.model.position_model import PositionModel
from solver.model.program import Program
from solver.model.variables import Variables, declare
from solver.model.witness import feasible, witness
from solver.search.batch_survey import survey_together
from solver.search.position_models import model_at
from solver.search.search import Search
from tests import builders as b
from tests.properties.shops import sliding_stop
from tests.solver.model.positions import EVERY, Family, facing, models, those

BAR = b.weldment(b.bar(width=50, thickness=20, length=240, at=(0, 0, 10)))


@cache
def bar() -> PositionModel:
    """A flat bar along x on the table, stops on all sides, down clamps that reach 60; one lattice position."""
    stock = b.shelf((b.stop(), 4), (b.down_clamp(), 2))
    return max((model for _, model in models(b.request(BAR), stock)), key=lambda model: len(model.problem.candidates))


def across(model: PositionModel) -> list[int]:
    """Stops that push the bar along +y, from left to right."""
    return those(model, facing(0, 1))


def ends(model: PositionModel) -> list[int]:
    return those(model, facing(1, 0)) or those(model, facing(-1, 0))


def clamps(model: PositionModel) -> list[int]:
    return those(model, lambda candidate: candidate.clamp)


# --- located and spread: the side's two points, the end -----------------------------------------------------------------


def test_a_side_needs_two_points_and_an_end_one_more() -> None:
    family = Family(bar(), (located,))
    side, end = across(bar()), ends(bar())[0]
    assert family.allows([side[0], side[-1], end])
    assert not family.allows([side[0], side[-1]])
    assert not family.allows([side[0], end])
    assert not family.allows([])


def test_opposite_stops_are_no_side() -> None:
    other = those(bar(), facing(0, -1))
    assert not Family(bar(), (located,)).allows([across(bar())[0], other[0], ends(bar())[0]])


def test_side_points_stand_wide_apart() -> None:
    """The bar is 240 long: from edge to edge of their pads its side points stand 120 apart at least."""
    family = Family(bar(), (located, spread))
    side, end = across(bar()), ends(bar())[0]
    patches = {k: bar().problem.candidates[k].meetings[0].patch[:, 0] for k in side}
    for one in side:
        for other in side:
            if one < other:
                span = np.ptp(np.concatenate([patches[one], patches[other]]))
                assert family.allows([one, other, end]) == (span >= 120), span


def test_exactly_wide_enough_is_wide_enough() -> None:
    """A side that is carried by another part over exactly half the length: 40 mm of a tube 80 long."""
    base, short = b.tube("base", 40, length=150, at=(40, 15, 20), along=b.Y), b.tube("short", 30, length=80, at=(0, 0, 15))
    stock = b.shelf((b.stop(width=20), 4), (sliding_stop(travel=45), 4), (b.down_clamp(high=150), 4))
    verdicts = [
        Family(model, (located, spread)).allows([], others=True) for _, model in models(b.request(b.weldment(short, base)), stock)
    ]
    assert any(verdicts)


def test_the_centre_of_gravity_lies_inside_the_supports() -> None:
    """A plate 100 x 80 raised on rests: two under one end let it tip, four under its corners or one under the middle hold it."""
    plate = b.weldment(b.plate(size=(200, 160), thickness=8))
    stock = b.shelf((b.rest(height=40), 4), (b.stop(height=60), 4), (b.down_clamp(), 2))
    request = b.request(plate)
    search = Search(request, stock, drawn_samples(plate, request.rules)[0], Deadline(lambda: 1000.0))
    search.open()
    assert search.raise_up()
    model = next(model_at(search, pose) for first in list(search.positions) for pose in survey_together(search, [first]))
    rests = those(model, lambda candidate: candidate.stack.top.kind == "rest")
    at = {k: model.problem.candidates[k].meetings[0].at[:2] - model.problem.laid.parts[0].centre[:2] for k in rests}
    stops = those(model, lambda candidate: candidate.stack.top.kind == "stop")
    family = Family(model, (located,))
    left = [k for k in rests if at[k][0] < -30]
    corners = [max(rests, key=lambda k: float(at[k] @ np.array(sign))) for sign in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
    assert len(left) >= 2
    assert not family.allows([*left, *stops])
    assert family.allows([*dict.fromkeys(corners), *stops])


# --- opposed ----------------------------------------------------------------------------------------------------------


def test_no_two_stops_face_each_other_across_a_part() -> None:
    family = Family(bar(), (opposed,))
    side, back = across(bar()), those(bar(), facing(0, -1))
    assert family.allows([side[0], side[-1], ends(bar())[0]])
    assert family.allows([back[0], back[-1]])
    for one in (side[0], side[-1]):
        for other in (back[0], back[-1]):
            assert not family.allows([one, other])


def test_nor_across_parts_that_lie_against_each_other() -> None:
    """A leg runs off a base's +y side: a stop behind the base and one at the leg's far end would squeeze both."""
    base, leg = b.tube("base", 40, length=240, at=(0, 0, 20)), b.tube("leg", 40, length=120, at=(120, 20, 20), along=b.Y)
    stock = b.shelf((b.stop(), 6), (b.adjustable_stop(), 4), (b.down_clamp(), 4))
    tried = 0
    for _, model in models(b.request(b.weldment(base, leg)), stock):
        behind = [k for k in those(model, facing(0, 1)) if model.problem.candidates[k].parts == {0}]
        beyond = [k for k in those(model, facing(0, -1)) if model.problem.candidates[k].parts == {1}]
        if behind and beyond:
            tried += 1
            assert not Family(model, (opposed,)).allows([behind[0], beyond[0]])
            assert Family(model, (opposed,)).allows([behind[0]])
            assert Family(model, (opposed,)).allows([beyond[0]])
    assert tried


def test_a_shop_may_allow_stops_face_to_face() -> None:
    stock = b.shelf((b.stop(), 4), (b.down_clamp(), 2))
    allowing = b.request(BAR, rules={"locate.opposed": 1})
    _, model = max(models(allowing, stock), key=lambda entry: len(entry[1].problem.candidates))
    assert Family(model, (opposed,)).allows([across(model)[0], those(model, facing(0, -1))[0]])


# --- clamped ----------------------------------------------------------------------------------------------------------


def test_every_part_wants_a_clamp() -> None:
    family = Family(bar(), (clamped,))
    assert not family.allows(across(bar()))
    assert family.allows([clamps(bar())[0]])


@cache
def tab() -> PositionModel:
    """A tab on top of a tube, out over its side, on a plain shelf; a lattice position with clamps that press over air."""
    return next(model for _, model in models(b.request(b.tab_on_tube()), b.plain_shelf()) if model.problem.over)


def test_a_clamp_presses_over_a_support_never_over_air() -> None:
    """Beside the tube the tab has air under it: a clamp there bears on nothing unless a rest stands under it."""
    family = Family(tab(), (clamped,))
    for clamp, needed in tab().problem.over.items():
        for rests in needed:
            assert rests
            assert not family.allows([clamp], others=True, without=rests)
            assert family.allows([clamp], others=True, without=rests - {min(rests)})


def side_clamped() -> PositionModel:
    stock = b.shelf((b.stop(), 6), (b.side_clamp("push", height=10), 2), (b.down_clamp(), 2))
    return max((model for _, model in models(b.request(BAR), stock)), key=lambda model: len(model.problem.against))


def test_a_side_clamp_pushes_against_a_stop_and_never_off_one() -> None:
    model = side_clamped()
    family = Family(model, (clamped,))
    down = those(model, lambda c: c.clamp and c.stack.top.kind == "down_clamp")[0]
    push, against = next((k, entry) for k, entry in model.problem.against.items() if entry.stops and entry.away)
    stop, away = min(against.stops), min(against.away)
    assert not family.allows([down, push])
    assert family.allows([down, push, stop])
    assert not family.allows([down, push, stop, away])


# --- apart, counted, reachable, ways ----------------------------------------------------------------------------------


def test_no_two_bodies_in_one_place_each_peg_its_own_hole() -> None:
    model = bar()
    family = Family(model, (apart,))
    conflicts = model.problem.conflicts
    assert conflicts
    for one, other in sorted(conflicts)[:20]:
        assert not family.allows([one, other])
    free = next((i, j) for j in range(len(model.problem.candidates)) for i in range(j) if (i, j) not in conflicts)
    assert family.allows(free)


def test_the_cliques_cover_every_conflict_and_nothing_else() -> None:
    model = bar()
    pairs = {(i, j) for clique in cover(model.problem.neighbours) for i in clique for j in clique if i < j}
    assert pairs == model.problem.conflicts


def test_some_candidates_split_into_cliques_each_in_one() -> None:
    problem = bar().problem
    members = frozenset(range(0, len(problem.candidates), 2))
    found = split(members, problem.neighbours)
    assert sorted(k for clique in found for k in clique) == sorted(members)
    assert len(found) < len(members)
    assert all((i, j) in problem.conflicts for clique in found for i in clique for j in clique if i < j)


def test_a_row_for_a_clique_of_blockers_says_what_rows_for_each_say() -> None:
    for neighbours in ([0, 0, 0], [0b110, 0b101, 0b011]):
        program = Program()
        stands = [program.variable() for _ in range(3)]
        ways.keep_one_open(program, Variables(stands, [], {}), neighbours, "way.out", [frozenset({0, 1}), frozenset({0, 2})])
        for k, open_ in ((0, False), (1, True), (2, True)):
            asked = Program(list(program.low), list(program.high), list(program.rows))
            asked.row("fixed", [(stands[k], 1)], 1, 1)
            assert (feasible(asked, 5.0) == "optimal") == open_, (neighbours, k)


def test_no_more_pieces_than_the_shelf_holds() -> None:
    family = Family(bar(), (counted,))
    stops = those(bar(), lambda candidate: candidate.stack.top.id == "stop")
    free = free_pieces(bar().problem.request, bar().problem.stock, "stop")
    assert free == 4 and len(stops) > 4
    assert family.allows(stops[:4])
    assert not family.allows(stops[:5])


def _apart(candidates: list[int], neighbours: list[int]) -> list[int]:
    """Return of some candidates, in order, those that can stand with all before them."""
    chosen: list[int] = []
    for k in candidates:
        if not any(neighbours[k] >> other & 1 for other in chosen):
            chosen.append(k)
    return chosen


def test_the_torch_keeps_a_way_to_every_sample() -> None:
    """Candidates may stand together if and only if every sample keeps a direction that none of them shuts."""
    family, rows, draw = Family(tab(), (reachable,)), [ways for _, ways in tab().problem.reach], Random(1)
    concerned = sorted({k for row in rows for shut in row for k in shut})
    verdicts = []
    for count in (1, 2, 3, 4, 6, 8) * 3:
        chosen = _apart(draw.sample(concerned, len(concerned)), tab().problem.neighbours)[:count]
        verdicts.append(all(any(not shut & set(chosen) for shut in row) for row in rows))
        assert family.allows(chosen) == verdicts[-1]
    assert True in verdicts and False in verdicts


def test_a_way_out_that_some_piece_shuts() -> None:
    """Straight up is shut by what hangs over the part; asked of one mover, one way at least stays open."""
    model = bar()
    for mover in range(len(model.problem.routes.movers)):
        options = [option.blockers for option in model.problem.routes.options(mover)]
        program = Program()
        variables = declare(program, model.problem)
        ways.post(program, variables, model.problem, mover)
        for k in {k for blockers in options for k in blockers}:
            program.row("fixed", [(variables.candidates[k], 1)], 1, 1)
        shut = all(options)
        assert (feasible(program, 20.0) == "infeasible") == shut
    assert ways.stuck(model.problem, []) == []


def test_ways_keep_one_open() -> None:
    program = Program()
    stands = [program.variable() for _ in range(3)]
    variables = Variables(stands, [], {})
    ways.keep_one_open(program, variables, [0, 0, 0], "way.out", [frozenset({0}), frozenset({1, 2})])
    for fixed, open_ in (((), True), ((0,), True), ((1,), True), ((0, 1), False), ((0, 2), False), ((1, 2), True)):
        asked = Program(list(program.low), list(program.high), list(program.rows))
        for k in fixed:
            asked.row("fixed", [(stands[k], 1)], 1, 1)
        assert (feasible(asked, 5.0) == "optimal") == open_, fixed


# --- whole programs ---------------------------------------------------------------------------------------------------


def test_both_solvers_agree_on_whole_pose_programs() -> None:
    """CP-SAT's optimum of every pose of a tab on a tube, all families posted, is HiGHS's."""
    agreed = 0
    for _, model in models(b.request(b.tab_on_tube(), alternatives=1), b.plain_shelf()):
        for family in EVERY[4:]:
            family.post(model.program, model.variables, model.problem)
        ours = solve(model.program, seed=1, seconds=20)
        verdict, value = witness(model.program, 30)
        assert (ours.verdict, ours.value) == (verdict, value)
        agreed += verdict == "optimal"
    assert agreed >= 2
