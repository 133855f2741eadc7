"""The answer of a week (``holdwright.week-plan/1``): each job's table, days and kit, the price, the proof, what is left over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import Field

from inventory.stock import StockByDay
from inventory.tables import hole_label, parse_hole
from service.documents.answers.answer import Answer, Kept
from service.documents.plan_schema.plan import PlanDocument
from service.documents.stockroom.days import GivenDays
from service.documents.week.question import WeekDocument
from solver.plans import Alternative, KitLine, Plan
from solver.week.prices import assignment_cost
from solver.week.values import Assignment, Week, WeekAnswer, WeekCost, WeekRemedy

FORMAT = "holdwright.week-plan/1"


class WeekCostDocument(Answer):
    """The price, line by line, integer cents."""

    total_cents: Annotated[int, Field(description="all lines together")]
    setup_cents: Annotated[int, Field(description="setting up, where the set-up does not stand from before")]
    cycle_cents: int
    tie_up_cents: Annotated[int, Field(description="day rates of the kits over the calendar days they are held")]
    shortage_cents: int
    weights_cents: int
    late_cents: Annotated[int, Field(description="calendar days after `due`, at each job's own price")]
    left_over_cents: Annotated[int, Field(description="jobs left over, as if done right after the week with their cheapest kit")]


class SeatDocument(Answer):
    """How far a set-up is shifted from where it was planned, in holes."""

    columns: int
    rows: int


class StandingPieceDocument(Answer):
    """A piece that stands in a hole, where the week has it."""

    id: str
    item: str
    hole: str


class WeekKitDocument(Answer):
    """Pieces of one item; `buy` of them are missing and bought."""

    item: str
    count: int
    buy: int


class AssignmentDocument(Answer):
    """A job with its table, its days and its alternative."""

    job: str
    name: str
    plan: Annotated[str | None, Field(description="id of its plan; null: it stands in the question, or under `plans`")]
    rank: Annotated[int, Field(description="which of the plan's alternatives")]
    title: str
    table: str
    seat: SeatDocument
    days: Annotated[GivenDays, Field(description="first and last day of the work, both included")]
    held: Annotated[GivenDays, Field(description="calendar days its kit is held")]
    stays_after: Annotated[str | None, Field(description="the job whose set-up stands on for this one: nothing is set again")]
    days_late: Annotated[int, Field(description="calendar days after `due`")]
    cost: WeekCostDocument
    kit: list[WeekKitDocument]
    holes: Annotated[list[StandingPieceDocument], Field(description="where its pieces stand, shifted")]


class HurdleDocument(Answer):
    """What stands in the way of a job that is left over."""

    code: Annotated[Literal["no_plan", "days", "table", "pieces", "both"], Field(description="a code that stays")]
    text: str


class WeekPurchaseDocument(Answer):
    """Pieces of one item to buy."""

    item: str
    count: int
    price_cents: Annotated[int, Field(description="price of all of them")]


class WeekRemedyDocument(Answer):
    """What was tried and lets the job in, with all others where they are."""

    do: Annotated[
        Literal["buy", "release", "table"], Field(description="buy pieces, start before its release, one more such table")
    ]
    buy: list[WeekPurchaseDocument]
    release: date | None
    price_cents: Annotated[int, Field(description="price of what is bought")]
    table: str
    rank: int
    days: Annotated[GivenDays, Field(description="the days it would be done on")]
    then_cents: Annotated[int, Field(description="what the job would cost then, purchases apart")]


class LeftOverDocument(Answer):
    """A job that is left over, why, and what would help, cheapest first."""

    job: str
    name: str
    cents: Annotated[int, Field(description="what it counts with in the price")]
    because: list[HurdleDocument]
    would_help: list[WeekRemedyDocument]


class ItemDaysDocument(Answer):
    """Pieces of one item, day by day over the calendar days of the week."""

    item: str
    free: list[int]
    taken: list[int]


class WeekPlanDocument(Answer):
    """A week planned."""

    format: Literal["holdwright.week-plan/1"] = "holdwright.week-plan/1"
    status: Annotated[Literal["optimal", "feasible"], Field(description="optimal: no week is better, proved")]
    stopped_by: Literal["proof", "work", "time", "cancel"]
    cost: WeekCostDocument
    cost_bound_cents: Annotated[int, Field(description="no week that leaves as few jobs over costs less, proved")]
    gap: Annotated[float, Field(description="(total - bound) / total")]
    fewest_left_over: Annotated[bool, Field(description="whether it is proved that no week leaves fewer jobs over")]
    solve_s: float
    seed: int
    stock_version: int
    days: list[date]
    tables: list[str]
    assignments: list[AssignmentDocument]
    left_over: list[LeftOverDocument]
    pieces: Annotated[list[ItemDaysDocument], Field(description="items that are taken, the scarcest first")]
    plans: Annotated[
        dict[str, Annotated[dict[str, Any], Kept(PlanDocument)]],
        Field(description="plans made for the jobs that came as requests"),
    ]


@dataclass(frozen=True, slots=True)
class WeekJobPlan:
    """A job of a week with its plan, and the tables its request names, if that is known.

    `plan_id` is None for a plan that was sent in full or `made` for this week.
    """

    id: str
    name: str
    plan_id: str | None
    plan: Plan
    document: Mapping[str, Any]
    made: bool = False
    tables: tuple[str, ...] | None = None

    def alternative(self, rank: int) -> Alternative:
        """Return an alternative of its plan."""
        found = self.plan.alternative(rank)
        assert found is not None
        return found


def week_plan_document(
    question: WeekDocument, week: Week, jobs: Sequence[WeekJobPlan], answer: WeekAnswer, stock: StockByDay, solve_s: float
) -> dict[str, Any]:
    """Return a planned week as plain JSON values."""
    by_id = {job.id: job for job in jobs}
    return WeekPlanDocument(
        status=answer.status,
        stopped_by=answer.stopped_by,
        cost=_cost(answer.cost),
        cost_bound_cents=answer.bound_cents,
        gap=round(answer.gap, 6),
        fewest_left_over=answer.fewest_left_over,
        solve_s=round(solve_s, 3),
        seed=week.seed,
        stock_version=stock.whole.version,
        days=list(week.days),
        tables=list(question.tables),
        assignments=[_assignment(week, by_id[each.job], each) for each in answer.assignments],
        left_over=[
            LeftOverDocument(
                job=each.job,
                name=by_id[each.job].name,
                cents=each.cents,
                because=[HurdleDocument(code=why.code, text=why.text) for why in each.because],
                would_help=[_remedy(help, stock) for help in each.would_help],
            )
            for each in answer.left_over
        ],
        pieces=_pieces(week, answer.assignments),
        plans={job.id: dict(job.document) for job in jobs if job.made},
    ).plain()


def _cost(cost: WeekCost) -> WeekCostDocument:
    lines = {name: getattr(cost, name) for name in WeekCost.__dataclass_fields__}
    return WeekCostDocument(total_cents=cost.total_cents, **lines)


def _assignment(week: Week, job: WeekJobPlan, there: Assignment) -> AssignmentDocument:
    alternative, asked = job.alternative(there.choice.rank), week.job(there.job)
    set_up = there.choice.set_up
    return AssignmentDocument(
        job=there.job,
        name=job.name,
        plan=job.plan_id,
        rank=there.choice.rank,
        title=alternative.title,
        table=set_up.table,
        seat=SeatDocument(columns=set_up.columns, rows=set_up.rows),
        days=GivenDays(first=there.first, last=there.last),
        held=GivenDays(first=there.from_day, last=there.last),
        stays_after=there.stays_after,
        days_late=asked.days_late(there.last),
        cost=_cost(assignment_cost(asked, there)),
        kit=[_kit_line(line) for line in alternative.kit],
        holes=[
            StandingPieceDocument(id=piece.id, item=piece.item, hole=_shifted(piece.hole, set_up.columns, set_up.rows))
            for piece in alternative.placements
            if piece.hole is not None
        ],
    )


def _kit_line(line: KitLine) -> WeekKitDocument:
    return WeekKitDocument(item=line.item, count=line.count, buy=line.buy)


def _shifted(hole: str, columns: int, rows: int) -> str:
    column, row = parse_hole(hole)
    return hole_label((column + columns, row + rows))


def _remedy(remedy: WeekRemedy, stock: StockByDay) -> WeekRemedyDocument:
    then = remedy.then
    return WeekRemedyDocument(
        do=remedy.do,
        buy=[
            WeekPurchaseDocument(item=item, count=count, price_cents=count * stock.whole.items[item].price_cents)
            for item, count in sorted(remedy.buy.items())
        ],
        release=remedy.release,
        price_cents=remedy.price_cents,
        table=then.choice.set_up.table,
        rank=then.choice.rank,
        days=GivenDays(first=then.first, last=then.last),
        then_cents=remedy.then_cents,
    )


def _pieces(week: Week, assignments: Sequence[Assignment]) -> list[ItemDaysDocument]:
    taken: dict[str, list[int]] = {}
    for each in assignments:
        for item, count in each.choice.set_up.pieces.items():
            days = taken.setdefault(item, [0] * week.length)
            for day in range(week.number(each.from_day), week.number(each.last) + 1):
                days[day] += count
    spare = {item: min(f - t for f, t in zip(week.pieces_free(item), days, strict=True) if t) for item, days in taken.items()}
    return [
        ItemDaysDocument(item=item, free=list(week.pieces_free(item)), taken=taken[item])
        for item in sorted(taken, key=lambda item: (spare[item], item))
    ]
