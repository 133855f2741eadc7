"""What variants on one set-up must have in common, and what a plan lists of each."""

from __future__ import annotations

from solver.rule_book.record import PLAN_AGAIN, PLAN_MAKERS_FAULT, Display, Hindrance, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        "variants.same_pieces",
        "all sizes of a weldment use the same pieces in the same holes; only settings differ",
        hindrance=Hindrance(
            place=256,
            remedy="leave out the size that differs most, draw all sizes from the same face, or buy pieces that reach further",
            sentence="the same pieces must stand in the same holes for every variant, so that only settings differ",
            by_itself="{subject}: no fixture serves it and the request's own weldment with the same pieces in the same holes",
            turn=145,
        ),
        if_broken=PLAN_AGAIN,
        finding=Display("the rest of the checks", place=95),
    ),
    Rule("variants.listed", "a plan lists the request's variants by name, quantity and mirror axis", if_broken=PLAN_AGAIN),
    Rule("variants.same_lie", "all sizes lie alike, shifted only along an axis every contact follows", if_broken=PLAN_AGAIN),
    Rule("variants.same_order", "the parts of all sizes go in in the same order", if_broken=PLAN_AGAIN),
    Rule("variants.settings", "a variant's list of settings is what its pieces are set to", if_broken=PLAN_MAKERS_FAULT),
    Rule("variants.shared", "of a mirror image's pieces as many stay as the plan says", if_broken=PLAN_MAKERS_FAULT),
)
