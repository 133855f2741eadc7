"""Clamping: how many clamps, over what and against what they press, and how hard."""

from __future__ import annotations

from solver.rule_book.record import Display, Hindrance, RelaxationLimit, Rule, Value

RULES: tuple[Rule, ...] = (
    Rule(
        "clamp.per_length",
        "at least one clamp on a part per this length begun",
        Value(600, "mm", 50, 20000),
        hindrance=Hindrance(
            place=160,
            remedy="more clamps, or clamps that reach further",
            meaning="a part needs a clamp per length begun",
            sentence="{subject}: {part.clamps} needed, one per {clamp.per_length:g} mm begun",
            by_itself="no free clamp reaches any part from any hole",
            suspects=("clear.weld", "clamp.per_length", "clamp.over_support", "clamp.pad_share", "clamp.max_part_pressure"),
            turn=150,
        ),
        relaxation=RelaxationLimit(2000, "more", place=70),
        if_broken="more clamps",
        finding=Display("parts and clamps", place=40, words="clamps whose line of force passes through it"),
    ),
    Rule(
        "clamp.over_support",
        "a down clamp's line of force passes through a support patch or within this distance of one",
        Value(30, "mm", 0, 500),
        hindrance=Hindrance(
            place=170,
            remedy="a rest under the clamp, or a clamp with another reach",
            meaning="a down clamp must press over the table, a carrying part or a rest",
            sentence="a down clamp presses within {clamp.over_support:g} mm of table, carrying part or rest",
            turn=100,
        ),
        relaxation=RelaxationLimit(100, "more", place=60),
        if_broken="a rest under it",
        finding=Display("parts and clamps", place=50),
    ),
    Rule(
        "clamp.pad_share",
        "along both directions of a clamp's pad its patch is at least this share of the lesser of pad and face; 0: any will do",
        Value(0.5, "share", 0, 1),
        relaxation=RelaxationLimit(0, "less", place=65),
        if_broken="set it so that more of its pad meets the part",
        finding=Display(
            "parts and clamps", place=80, words="clamps bear on their share of the lesser of pad and face", number=False
        ),
    ),
    Rule(
        "clamp.safety",
        "factor on the load cases",
        Value(1.5, "-", 1, 10),
        checked_as=("hold.handling_n", "hold.shrink_n_per_mm2"),
    ),
    Rule(
        "clamp.max_part_pressure",
        "contact pressure of a clamp pad on the part",
        Value(0.5, "of yield", 0.01, 1),
        relaxation=RelaxationLimit(1, "more", place=170),
        if_broken="a larger pad or a weaker clamp",
        finding=Display(
            "parts and clamps", place=60, words="pressure of the clamp's pad: rated force over its patch on the part"
        ),
    ),
    Rule(
        "clamp.against",
        "a side clamp needs a stop of its part to push against",
        hindrance=Hindrance(
            place=180,
            remedy="a stop opposite the clamp",
            sentence="a side clamp needs a stop of its part to push against",
            turn=90,
        ),
        checked_as=("clamp.pushes_off",),
    ),
    Rule(
        "clamp.away",
        "a side clamp must not push a part off a stop",
        hindrance=Hindrance(
            place=190,
            remedy="a clamp from another side",
            sentence="a side clamp must not push a part off a stop",
            turn=80,
        ),
        checked_as=("clamp.pushes_off",),
    ),
    Rule("clamp.presses", "every clamp presses on a part", if_broken="set the clamp to the part"),
    Rule(
        "clamp.pushes_off",
        "a clamp pushes its part onto locators and off none",
        if_broken="clamp from another side",
        finding=Display(
            "bodies, torch and ways", place=70, words="every clamp pushes its part onto locators and off none", number=False
        ),
    ),
)
