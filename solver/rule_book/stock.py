"""Counted stock and the tables."""

from __future__ import annotations

from solver.rule_book.record import Display, Hindrance, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        "stock.counted",
        "pieces are free, or bought where that is allowed",
        hindrance=Hindrance(
            place=250,
            remedy="buy or free the pieces named, or use other dates",
            meaning="fewer pieces of an item are free than are needed",
            by_itself="{item}: {needed}{free} free{gone}",
            turn=130,
        ),
        if_broken="free or buy pieces, or plan again",
        finding=Display("the rest of the checks", place=50),
    ),
    Rule(
        "stock.lead_time",
        "bought pieces are there in time",
        if_broken="other dates or other pieces; give `today`",
        finding=Display("the rest of the checks", place=60),
    ),
    Rule(
        "table.size",
        "the weldment does not fit on the table",
        hindrance=Hindrance(
            place=60,
            remedy="a larger table, another turn or side down",
            by_itself="table {subject}: {length:g} x {width:g} mm, the weldment needs {needs_length:.5g} x {needs_width:.5g} mm",
            beyond_stock=True,
        ),
    ),
    Rule(
        "table.max_load",
        "the table bears parts and hardware",
        hindrance=Hindrance(
            place=70,
            remedy="a stronger table",
            meaning="parts and hardware weigh more than the table bears",
            sentence="parts and hardware may weigh no more than the table bears",
            by_itself="table {subject}: the weldment weighs {mass:.4g} kg, {bears:g} kg allowed",
            turn=0,
            beyond_stock=True,
        ),
        if_broken="a stronger table",
        finding=Display("the rest of the checks", place=70),
    ),
)
