"""Comparing with marking out by hand and with a dedicated fixture: what quotes go by, and no plan."""

from __future__ import annotations

from solver.rule_book.record import Rule, Value

RULES: tuple[Rule, ...] = (
    Rule(
        "compare.mark_out_s",
        "marking out and squaring each part by hand",
        Value(90, "s/part", 0, 36000),
    ),
    Rule(
        "compare.mark_out_error",
        "share spoiled when marking out by hand",
        Value(0.02, "share", 0, 1),
    ),
    Rule(
        "compare.dedicated_hours",
        "building a one-off fixture",
        Value(1.5, "h", 0, 1000),
    ),
    Rule(
        "compare.dedicated_material_cents",
        "material of a one-off fixture",
        Value(4000, "cents", 0, 100_000_000),
    ),
)
