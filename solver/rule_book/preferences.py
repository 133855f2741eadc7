"""What is preferred at a price: pieces that stay, fewer settings, scarce pieces left; and how alternatives differ."""

from __future__ import annotations

from solver.rule_book.record import PLAN_MAKERS_FAULT, SHOP, Rule, Value

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
        "alternatives.kit_pieces",
        "kits of two alternatives on one table with one side down differ by at least this many pieces, both ways added",
        Value(2, "pieces", 1, 100, SHOP),
        if_broken=PLAN_MAKERS_FAULT,
    ),
    Rule("plan.proved", "what an earlier plan proved was taken over", if_broken=PLAN_MAKERS_FAULT),
    Rule("alternatives.fewer", "fewer kits were found than asked for", if_broken=PLAN_MAKERS_FAULT),
    Rule(
        "alternatives.measures", "what an alternative says it is compared by is what is found anew", if_broken=PLAN_MAKERS_FAULT
    ),
    Rule("alternatives.named", "no two alternatives have one title, or differ in the same words", if_broken=PLAN_MAKERS_FAULT),
    Rule("alternatives.traits", "each says in what it is best of all shown, and in nothing else", if_broken=PLAN_MAKERS_FAULT),
    Rule("compare.locating_error", "the largest worst-case locating error: how true it is", if_broken=PLAN_MAKERS_FAULT),
    Rule("compare.stiffness", "the least stiffness under a pad that locates: how stiff it is", if_broken=PLAN_MAKERS_FAULT),
    Rule("alternatives.rank", "alternatives are ranked by total from 1 on", if_broken=PLAN_MAKERS_FAULT),
)
