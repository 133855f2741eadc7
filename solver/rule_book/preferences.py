"""What is preferred at a price: pieces that stay, fewer settings, scarce pieces left; and how alternatives differ."""

from __future__ import annotations

from solver.rule_book.record import OWN_CHOICE, PLAN_MAKERS_FAULT, SHOP, Rule, Value

RULES: tuple[Rule, ...] = (
    Rule(
        "weights.moved_piece",
        "re-plan: each standing piece that moves, is swapped or re-set",
        Value(150, "cents", 0, 1_000_000, SHOP),
        checked_as=("cost.weights_cents",),
    ),
    Rule(
        "weights.adjustable",
        "each setting the fitter must set and check",
        Value(30, "cents", 0, 1_000_000, SHOP),
        checked_as=("cost.weights_cents",),
    ),
    Rule(
        "weights.scarce",
        "divided by the free pieces of the item, for each piece used",
        Value(0, "cents", 0, 1_000_000, SHOP),
        checked_as=("cost.weights_cents",),
    ),
    Rule(
        "alternatives.differ_by",
        "alternatives differ by at least this many (part, role, face, item) entries",
        Value(4, "entries", 1, 100, OWN_CHOICE),
        if_broken=PLAN_MAKERS_FAULT,
    ),
    Rule("alternatives.rank", "alternatives are ranked by total from 1 on", if_broken=PLAN_MAKERS_FAULT),
)
