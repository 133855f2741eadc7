"""Whether the weldment is held: loads that grow, friction that falls, locators that may give less.

What resists a load resists any share of it, whatever the fixture: contacts only push, friction and clamps have their bounds, and
gravity alone is held, so loads that are held together with it are a convex set. So smaller loads, more friction and more give
allow whatever was allowed. How much larger a load may grow follows from its utilisation; beyond that only a check tells.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from solver.rescoring.limits.limit_kind import LimitKind, Measurement, Rows, Trespass, TurningPoint
from solver.rule_book.book import RuleBook
from solver.standards.materials import MATERIALS

PUSH, PULL = "hold.handling_n", "hold.shrink_n_per_mm2"
SAFETY, TACK, FRICTION, GIVE = "clamp.safety", "tack.length", "hold.friction", "stack.deflection_max"
FACTORS = {PUSH: (PUSH, SAFETY), PULL: (PULL, SAFETY, TACK)}
"""The rules whose product a kind of load grows with."""
DOUBT = 0.01
"""Utilisations are the planner's; the checker's own arithmetic may differ from it by less than this share."""
ASK = "whether it is held then takes a check of the whole plan"


def _density(material: str) -> str:
    return f"material.{material}_kg_per_m3"


def measure(measured: Measurement) -> list[list[Any]]:
    """Return rule and utilisation of every kind of load, then the materials."""
    used = sorted({part.part.material for scene in measured.scenes for part in scene.parts.values()})
    found = [finding for finding in measured.alternative.findings if finding.rule in FACTORS and finding.value is not None]
    known = {finding.rule: max(float(finding.value or 1.0), 1e-9) for finding in found}
    return [[PUSH, known.get(PUSH, 1.0)], [PULL, known.get(PULL, 1.0)], ["", *used]]


def judge(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    """Yield the rules that make it harder to hold by more than is known to be held."""
    for rule in (FRICTION, GIVE):
        if after[rule] < before[rule]:
            yield Trespass(rule, limit=after[rule], why=ASK)
    for load, *known in rows:
        if not load:
            changed = [_density(name) for name in known if after[_density(name)] != before[_density(name)]]
            yield from (Trespass(rule, limit=after[rule], why=ASK) for rule in changed)
            continue
        grown = _load(after, load) > _load(before, load) * (1 + 1e-12)
        if grown and _load(after, load) * known[0] > _load(before, load) * (1 - DOUBT):
            raised = [rule for rule in FACTORS[load] if after[rule] > before[rule]]
            for rule in raised:
                yield Trespass(rule, load, known[0], after[rule], why=ASK)


def _load(rules: RuleBook, load: str) -> float:
    product = 1.0
    for rule in FACTORS[load]:
        product *= rules[rule]
    return product


def turning_points(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    """Yield up to where each kind of load is known to be held."""
    for load, *known in rows:
        if load and rule in FACTORS[load] and _load(rules, load) > 0:
            yield TurningPoint(rules[rule] * max(1.0, (1 - DOUBT) / known[0]), 0.0, load)


KIND = LimitKind("loads", (PUSH, PULL, SAFETY, TACK, FRICTION, GIVE, *map(_density, MATERIALS)), measure, judge, turning_points)
