"""Fitting: which piece of a stack is meant, and when a kept piece stands just so."""

from __future__ import annotations

from inventory.tables import hole_label
from solver.described_pieces import DescribedPiece, KeptPiece
from solver.hardware.candidates import Candidate
from solver.position.asked_pieces.fitting import at_seats, may_fit, stack_may_be
from solver.position.problem import Problem
from solver.position.seats import Seat
from tests import builders as b
from tests.solver.model.positions import position
from tests.solver.model.small import bar


def raised() -> Problem:
    """A bar on two rests high above the table, stops on risers beside it."""
    shelf = b.shelf((b.stop(), 4), (b.adjustable_stop(), 2), (b.riser(), 4), (b.rest(height=70), 3), (b.down_clamp(), 2))
    return position(b.request(b.weldment(b.bar())), shelf, (15, 0), lift=70.0)


def on_riser(problem: Problem, item: str) -> Candidate:
    """The first such piece on one riser."""
    return next(c for c in problem.candidates if [level.item.id for level in c.stack.levels] == ["riser", item])


def fits(described: DescribedPiece, candidate: Candidate, problem: Problem) -> bool:
    return may_fit(described, candidate, problem.laid, "T1")


def test_a_hole_is_that_of_the_piece_on_the_table() -> None:
    problem = raised()
    stack = on_riser(problem, "stop")
    assert fits(DescribedPiece(item="riser", hole=(0, 0)), stack, problem)
    assert not fits(DescribedPiece(item="stop", hole=(0, 0)), stack, problem)
    assert fits(DescribedPiece(item="stop"), stack, problem) and fits(DescribedPiece(row=3), stack, problem)


def test_what_is_touched_is_touched_by_the_piece_on_top() -> None:
    problem = raised()
    stack = on_riser(problem, "stop")
    face = stack.meetings[0].face
    assert fits(DescribedPiece(item="stop", face=face), stack, problem)
    assert not fits(DescribedPiece(item="riser", face=face), stack, problem)
    assert not fits(DescribedPiece(part="bar", hole=(0, 0)), stack, problem)


def test_a_kept_piece_stands_just_so_at_one_seat() -> None:
    problem = raised()
    stack = on_riser(problem, "adjustable")
    bed = problem.stock.tables["T1"]
    seats = [Seat(bed, 90.0 * quarter, (8, 6), quarter) for quarter in (0, 1)]
    riser, top = stack.stack.levels
    label = hole_label(seats[0].hole(stack.hole))
    levels = (("adjustable", None, top.turn, round(stack.setting or 0, 3)), ("riser", label, riser.turn, None))
    for kept, there in (
        (KeptPiece("p", "T1", levels), [True, False]),
        (KeptPiece("p", "T1", ((*levels[0][:3], (stack.setting or 0) + 1), levels[1])), [False, False]),
        (KeptPiece("p", "T1", (("adjustable", None, (top.turn + 90) % 360, levels[0][3]), levels[1])), [False, False]),
        (KeptPiece("p", "T1", levels[1:]), [True, False]),
    ):
        described = DescribedPiece(piece=kept)
        assert may_fit(described, stack, problem.laid, "T1")
        assert at_seats(described, [stack], seats)[:, 0].tolist() == there
    assert not may_fit(DescribedPiece(piece=KeptPiece("p", "T2", levels)), stack, problem.laid, "T1")
    assert not may_fit(
        DescribedPiece(piece=KeptPiece("p", "T1", (("stop", None, 0.0, None), levels[1]))), stack, problem.laid, "T1"
    )


def test_a_row_is_met_by_any_peg() -> None:
    problem = position(b.request(b.weldment(b.bar(thickness=40, at=(0, 0, 20)))), b.shelf((b.side_clamp(), 2)), (15, 0))
    clamp = problem.candidates[0]
    bed = problem.stock.tables["T1"]
    seat = Seat(bed, 0.0, (8, 6), 0)
    holes = {seat.hole(hole) for hole in clamp.holes}
    assert len(holes) == 2
    for column in {c for c, _ in holes}:
        assert at_seats(DescribedPiece(column=column), [clamp], [seat]).all()
    other = next(hole for hole in holes if hole != seat.hole(clamp.hole))
    assert not at_seats(DescribedPiece(hole=other), [clamp], [seat]).any()
    assert at_seats(DescribedPiece(hole=seat.hole(clamp.hole)), [clamp], [seat]).all()


def test_a_clamp_locates_nothing() -> None:
    clamp = next(candidate for candidate in bar().candidates if candidate.clamp)
    assert fits(DescribedPiece(part="bar"), clamp, bar())
    assert not fits(DescribedPiece(part="bar", role="support"), clamp, bar())
    assert not stack_may_be(DescribedPiece(role="side"), clamp.stack)
