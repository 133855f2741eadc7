"""What a request asks of an alternative's pieces: pieces it must contain, and pieces it may not."""

from __future__ import annotations

from solver.rule_book.record import PLAN_AGAIN, Display, Hindrance, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        "request.pins",
        "every alternative contains the pieces that the request pins",
        hindrance=Hindrance(
            place=252,
            remedy="drop the pin, or free what keeps it from being met",
            sentence="{subject}: the request asks for such a piece",
            by_itself="{subject}: the request asks for such a piece, and no fixture that keeps to the rest has one",
            turn=140,
        ),
        if_broken=PLAN_AGAIN,
        finding=Display("the rest of the checks", place=80),
    ),
    Rule(
        "request.avoid",
        "no alternative contains a piece that the request avoids",
        hindrance=Hindrance(
            place=254,
            remedy="allow the piece again",
            sentence="{subject}: the request allows no such piece",
            by_itself="{subject}: the request allows no such piece, and no fixture that keeps to the rest does without",
            turn=135,
        ),
        if_broken=PLAN_AGAIN,
        finding=Display("the rest of the checks", place=90),
    ),
)
