"""How many clamps a part has for its length, and how hard their pads press it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from solver.checks.rules.clamping import longest
from solver.rescoring.limits.limit_kind import ROUNDED, LimitKind, Measurement, Rows, Trespass, TurningPoint
from solver.rule_book.book import RuleBook
from solver.standards.materials import MATERIALS

PER_LENGTH, PRESSURE = "clamp.per_length", "clamp.max_part_pressure"
SLACK = 1e-6


def _count(measured: Measurement) -> list[list[Any]]:
    """Return part, its clamps, how long it is, mm."""
    lengths = {part.id: longest(part) for scene in measured.scenes for part in scene.parts.values()}
    return [[finding.subject, finding.value, lengths[finding.subject]] for finding in measured.by_rule.get(PER_LENGTH, ())]


def _too_few(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    for part, clamps, length in rows:
        wanted = max(1, math.ceil(length / after[PER_LENGTH] - 1e-9))
        if clamps < wanted - SLACK:
            yield Trespass(PER_LENGTH, part, clamps, wanted, "clamps")


def _lengths(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    for part, clamps, length in rows:
        if clamps:
            yield TurningPoint(length / clamps, length * 1e-8, part)


def _yield(material: str) -> str:
    return f"material.{material}_yield_mpa"


def _pressures(measured: Measurement) -> list[list[Any]]:
    """Return clamp and part, the part's material, the pressure, MPa."""
    materials = {part.id: part.part.material for scene in measured.scenes for part in scene.parts.values()}
    return [
        [finding.subject, materials[finding.subject.split(" ", 1)[1]], finding.value]
        for finding in measured.by_rule.get(PRESSURE, ())
    ]


def _too_hard(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    for subject, material, value in rows:
        limit = after[PRESSURE] * after[_yield(material)]
        if value > limit + SLACK:
            yield Trespass(PRESSURE, subject, value, limit, "MPa")


def _just_as_hard(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    for subject, material, value in rows:
        size = rules[_yield(material)] if rule == PRESSURE else rules[PRESSURE] if rule == _yield(material) else 0.0
        if size > 0:
            yield TurningPoint(value / size, (SLACK + ROUNDED) / size, subject)


COUNT = LimitKind("clamps", (PER_LENGTH,), _count, _too_few, _lengths)
HARDNESS = LimitKind("pressures", (PRESSURE, *map(_yield, MATERIALS)), _pressures, _too_hard, _just_as_hard)
