"""The weldment as it was drawn: parts that overlap, open dimensions."""

from __future__ import annotations

from solver.rule_book.record import Display, Hindrance, Rule, Value

RULES: tuple[Rule, ...] = (
    Rule(
        "fit.overlap",
        "parts may overlap by this much",
        Value(0.1, "mm", 0, 2),
        if_broken="correct the weldment",
        finding=Display("bodies, torch and ways", place=10, words="no two parts overlap by more than allowed", number=False),
    ),
    Rule(
        "open_dimensions.follow",
        "contacts that an open dimension moves follow it by their setting",
        hindrance=Hindrance(
            place=240,
            remedy="adjustable stops with a longer slide, or a smaller range",
            meaning="a contact along an open dimension must be able to follow its range",
            by_itself=(
                "{subject}: its open dimension runs over {over:g} mm; of {pads} pads that meet it there none follows; {longest}"
            ),
        ),
        if_broken="an adjustable stop",
        finding=Display("the rest of the checks", place=30),
    ),
)
