"""Reasons as sentences: the rule, what it is asked of, and the numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inventory.stock import StockSnapshot
from solver.cost import free_pieces
from solver.explain.figures import PartFigures, figures_of
from solver.explain.irreducible import Demand
from solver.laying.laid_weldment import LaidWeldment
from solver.plans import Reason
from solver.request import Request
from solver.rule_book import hindrance_of
from solver.rule_book.book import RuleBook


def by_itself(rule: str, subject: str, rules: RuleBook, part: PartFigures | None = None, **more: Any) -> Reason:
    """Return the reason that a rule alone shuts out every fixture; `more` are the figures of what found it."""
    return Reason(rule, subject, hindrance_of(rule).by_itself.format(**figures_of(rules, subject, part, **more)))


def missing(request: Request, stock: StockSnapshot, item: str, needed: int | None) -> Reason:
    """Return the reason that pieces of an item are missing: ``riser 75 mm: 6 needed, 4 free``."""
    free = free_pieces(request, stock, item)
    line, gone = stock.lines.get(item), request.without.items.get(item, 0)
    parts = [f"{line.count} on the shelf"] if line and line.count != free else []
    parts += [f"{line.out_of_service} out of service"] if line and line.out_of_service else []
    own = min(line.reserved, request.held.get(item, 0)) if line else 0
    parts += [f"{line.reserved} reserved{f', {own} of them for this job' if own else ''}"] if line and line.reserved else []
    parts += [f"{gone} to go without"] if gone else []
    name = stock.items[item].name
    return by_itself(
        "stock.counted",
        item,
        request.rules,
        item=item if name in ("", item) else f"{item} ({name})",
        needed=f"{needed} needed, " if needed is not None else "",
        free=free,
        gone=f" ({', '.join(parts)})" if parts else "",
    )


def sentence(demand: Demand, request: Request, laid: LaidWeldment, in_the_way: Sequence[str] = ()) -> Reason:
    """Return a demand of the model as a sentence; stock has its own, `missing`. `in_the_way` names the items that are."""
    hindrance, subject = hindrance_of(demand.rule), demand.about or "weldment"
    about = next((held for held in laid.parts if held.id == demand.about), None)
    part = None if about is None else PartFigures(laid, about)
    template = hindrance.sentence
    if hindrance.lying_round and part is not None and part.lying_round:
        template = hindrance.lying_round
    if in_the_way:
        template += hindrance.in_the_way
    one = len(in_the_way) == 1
    figures = figures_of(
        request.rules, subject, part,
        items=", ".join(in_the_way), stand="stands" if one else "stand", have="has" if one else "have",
    )  # fmt: skip
    return Reason(demand.rule, subject, template.format(**figures))
