"""Density and yield of each material, from the published values."""

from __future__ import annotations

from collections.abc import Iterator

from solver.rule_book.record import Rule, Value
from solver.standards.materials import MATERIALS


def _rules() -> Iterator[Rule]:
    for name, values in MATERIALS.items():
        density, limit = values.density_kg_per_m3, values.yield_mpa
        yield Rule(
            f"material.{name}_kg_per_m3",
            f"density of {name}",
            Value(density.value, "kg/m3", 100, 30000, density.source),
            checked_as=("hold.gravity", "table.max_load", "lift.one_person_kg"),
        )
        yield Rule(
            f"material.{name}_yield_mpa",
            f"yield of {name}",
            Value(limit.value, "MPa", 10, 3000, limit.source),
            checked_as=("clamp.max_part_pressure",),
        )


RULES: tuple[Rule, ...] = tuple(_rules())
