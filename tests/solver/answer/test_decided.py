"""Where holding or a tolerance turned the cheapest choice away, the answer differs and says which load case, which point."""

from __future__ import annotations

import time
from collections import Counter
from typing import Any

import pytest

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Alternative, Finding
from solver.request import Request
from solver.weldment import Tolerance, Weldment
from tests import builders as b

LOADS_OFF = {"hold.handling_n": 0.0, "hold.shrink_n_per_mm2": 0.0}


def cheapest(request: Request, stock: StockSnapshot) -> Alternative:
    end = time.monotonic() + 30
    return plan(request, stock, deadline=Deadline(lambda: end - time.monotonic())).alternatives[0]


def items(answer: Alternative) -> Counter[str]:
    return Counter(placement.item for placement in answer.placements)


def told(answer: Alternative, rule: str) -> list[Finding]:
    return [finding for finding in answer.findings if finding.rule == rule]


def asked(weldment: Weldment, rules: dict[str, float] | None = None, **more: Any) -> Request:
    return b.request(weldment, 10, rules, alternatives=1, **more)


def a_weak_and_a_strong_clamp() -> StockSnapshot:
    """The weak clamp presses with 100 N and costs little to have; the strong one with 2000 N."""
    weak = b.down_clamp("weak", force_n=100, day_rate_cents=5)
    strong = b.down_clamp("strong", force_n=2000, day_rate_cents=150)
    locating = ((b.stop(), 8), (b.stop("stop-20", face=20), 8), (b.adjustable_stop(), 4), (b.rest(), 4))
    return b.shelf(*locating, (weak, 4), (strong, 4))


def test_a_push_of_150_n_asks_for_the_strong_clamp_and_the_answer_names_the_push() -> None:
    stock = a_weak_and_a_strong_clamp()
    unpushed = cheapest(asked(b.tab_on_tube(), LOADS_OFF), stock)
    pushed = cheapest(asked(b.tab_on_tube()), stock)
    assert items(unpushed)["weak"] and not items(unpushed)["strong"]
    assert items(pushed)["strong"]
    assert pushed.cost.total_cents > unpushed.cost.total_cents
    (decided,) = told(pushed, "hold.decided")
    assert decided.subject == "hold.handling_n"
    assert "push on t" in decided.text and "weld w" in decided.text
    assert decided.value == pushed.cost.total_cents - unpushed.cost.total_cents
    assert not told(unpushed, "hold.decided")


def coarse_and_true_stops() -> StockSnapshot:
    """Coarse stops stand within 0.6 mm of where they should, true ones within 0.02 mm and cost more to have."""
    coarse: dict[str, Any] = {"repeatability_mm": 0.6, "day_rate_cents": 5}
    true: dict[str, Any] = {"repeatability_mm": 0.02, "day_rate_cents": 120}
    stops = (
        b.stop("coarse", **coarse),
        b.stop("coarse-20", face=20, **coarse),
        b.stop("true", **true),
        b.stop("true-20", face=20, **true),
    )
    more = (
        (b.adjustable_stop(repeatability_mm=0.6), 4),
        (b.rest(), 4),
        (b.down_clamp(), 6),
        (b.down_clamp("long", reach=120), 4),
    )
    return b.shelf(*((stop, 8) for stop in stops), *more)


def stops_of(answer: Alternative, sort: str) -> int:
    return sum(count for item, count in items(answer).items() if item.startswith(sort))


def with_tolerance(plus_minus: float) -> Weldment:
    """The tab's corner may be off along the tube by so much."""
    plain = b.tab_on_tube()
    tolerance = Tolerance("tab", (200.0, 65.0, 50.0), (1.0, 0.0, 0.0), plus_minus)
    return b.weldment(*plain.parts, welds=plain.welds, tolerances=(tolerance,))


@pytest.mark.slow
def test_a_tolerance_refuses_the_least_accurate_stop() -> None:
    stock = coarse_and_true_stops()
    free = cheapest(asked(with_tolerance(50)), stock)
    bound = cheapest(asked(with_tolerance(1.0)), stock)
    assert stops_of(free, "coarse") and not stops_of(free, "true")
    assert stops_of(bound, "true")
    (decided,) = told(bound, "locate.decided")
    assert decided.subject == "locate.tolerance_share"
    assert "locating error (mm) of tab" in decided.text
    assert decided.value is not None and decided.value > 0
    (error,) = told(bound, "locate.tolerance_share")
    (likely,) = told(bound, "locate.root_sum_square")
    assert error.limit == 0.5 and error.value is not None and likely.value is not None
    assert 0 < likely.value <= error.value <= error.limit
    assert not told(free, "locate.decided")
