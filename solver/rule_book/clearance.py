"""Clearance: distances between hardware, welds, parts and the table's edge."""

from __future__ import annotations

from solver.rule_book.record import Display, Hindrance, RelaxationLimit, Rule, Value

RULES: tuple[Rule, ...] = (
    Rule(
        "clear.weld",
        "hardware stays this far from every weld path",
        Value(15, "mm", 0, 200),
        relaxation=RelaxationLimit(5, "less", place=10),
        if_broken="move it away",
        finding=Display("distances to welds", place=10),
    ),
    Rule(
        "clear.weld_locator",
        "a locator may come as near to a weld as this, with a finding",
        Value(6, "mm", 0, 200),
        relaxation=RelaxationLimit(1, "less", place=20),
        if_broken="allowed down to its limit: shield it from spatter; else move it",
        finding=Display("distances to welds", place=20),
    ),
    Rule(
        "clear.body",
        "between any two pieces not stacked, and between a piece and a part it does not touch",
        Value(1, "mm", 0, 50),
        hindrance=Hindrance(
            place=210,
            remedy="slimmer pieces, a finer lattice, or a smaller distance",
            meaning="pieces keep their distance and every peg its own hole",
            sentence="pieces keep {clear.body:g} mm from each other, and every peg needs a hole of its own",
            turn=70,
        ),
        relaxation=RelaxationLimit(0.2, "less", place=80),
        if_broken="move one of them",
        finding=Display("bodies, torch and ways", place=20, words="bodies keep apart, clamps shut and open", number=False),
    ),
    Rule(
        "clear.table_edge",
        "a piece's base may stick out over the table's edge by at most this",
        Value(30, "mm", 0, 500),
        relaxation=RelaxationLimit(150, "more", place=180),
        if_broken="move the weldment inwards",
    ),
    Rule(
        "clear.table_top",
        "outer bodies reach no lower than the table's top",
        hindrance=Hindrance(
            place=35,
            remedy="taller rests or V-blocks, another side down, or a hull drawn closer to the part (its `cuts`)",
            by_itself=(
                "{subject}: its outer body reaches {deep:.4g} mm below the table's top; the weldment would have to lie as much "
                "higher, and at no such height can free pieces carry, locate and clamp it"
            ),
        ),
        checked_as=("apart.overlap",),
    ),
    Rule("apart.overlap", "no piece runs into a part, a carrier or the table", if_broken="move one of them"),
)
