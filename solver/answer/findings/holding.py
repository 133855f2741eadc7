"""Findings on holding: what decided, how near loads come to moving a part, how far locators give, what a hand must hold."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from solver.answer.findings.source import FindingSource, limit_from
from solver.answer.hands_needed import ALL_THE_WHILE, UNTIL_TACKED
from solver.plans import Finding
from solver.statics import least_deflection
from solver.statics.utilisation import Utilisation, utilisations

QUICK = 30
"""Load cases asked exactly for alternatives that are not the best."""
THOROUGH = 250
CHEAP = 400
"""Deflections are computed up to so many load cases times parts; beyond, their proved bound is reported."""
OUTER_BODY = (
    "an outer body: this fixture does not locate, clamp or hold it; set it and hold it by hand. Hardware, torch and hand keep "
    "clear of its hull; its mass is the hull's, which the part does not exceed"
)
LAW = "contact equilibrium with friction, linear program; loads x clamp.safety"


def decided(source: FindingSource) -> Iterator[Finding]:
    """Yield which load case and which tolerance turned away choices that cost no more."""
    for name, rules, verb in (
        ("hold.decided", "hold.", "did not hold"),
        ("locate.decided", "locate.", "was not true enough"),
    ):
        found = [entry for entry in source.refusals if entry.rule.startswith(rules)]
        if not found:
            continue
        first = min(found, key=lambda entry: entry.cents)
        less = source.fixture.choice.cents - first.cents
        whys = list(dict.fromkeys(entry.what for entry in found if entry.cents == first.cents))
        price = f"{less} cents less" if less > 0 else "at the same price"
        text = f"the cheapest choice that is located and clamped, {price}, {verb}: {'; '.join(whys[:3])} ({first.rule})"
        yield Finding(name, first.rule, float(less), None, "cents", True, text)


def loads(source: FindingSource) -> Iterator[Finding]:
    """Yield for each kind of load how much of what could be held its worst case takes."""
    cases = source.holding.cases
    yield Finding("hold.gravity", "weldment", None, None, "", True, "held: gravity alone with all clamps shut; " + LAW)
    for entry in utilisations(source.forces, cases, THOROUGH if source.thorough else QUICK):
        yield _load(source, entry)


def _load(source: FindingSource, entry: Utilisation) -> Finding:
    rule = entry.case.rule
    worst = entry.case.text(source.part_ids)
    if entry.most > entry.value + 1e-9:
        known = f"held in all {entry.cases} load cases; utilisation {entry.value:.2f} or more, at most {entry.most:.2f}"
        text = f"{known}; the worst of those asked exactly: {worst}"
    else:
        text = f"held in all {entry.cases} load cases; largest utilisation, governed by {worst}"
    return Finding(rule, "weldment", round(entry.most, 4), 1.0, "", True, f"{text}; {LAW}{limit_from(rule)}")


def reactions(source: FindingSource) -> Iterator[Finding]:
    """Yield for every locator's contact its largest reaction, against what its stack bears, and how far it gives."""
    contacts, limit = source.forces.contacts, source.rules["stack.deflection_max"]
    groups, first = np.unique(contacts.group, return_index=True)
    first, groups = first[groups >= 0], groups[groups >= 0]
    if not len(groups):
        return
    known = source.thorough and len(source.holding.cases) * len(source.part_ids) <= CHEAP
    largest = contacts.caps_n
    if known:
        largest = least_deflection(source.forces, source.holding.cases, contacts.caps_n / limit).largest_n
    place = {index: k for k, index in enumerate(source.fixture.ordered)}
    for point, group in sorted(
        zip(first.tolist(), groups.tolist(), strict=True), key=lambda pair: place[contacts.owner[pair[0]]]
    ):
        owner = int(contacts.owner[point])
        subject = f"{source.fixture.ids[owner][-1]} {source.part_ids[int(contacts.part[point])]}"
        stiffness = source.fixture.problem.candidates[owner].stack.stiffness
        pieces = len(source.fixture.ids[owner])
        if known:
            how = "largest over all load cases, each balanced so that the worst locator gives least"
        else:
            how = "not computed one by one: every load case is balanced with this reaction at most"
        cap, force = float(contacts.caps_n[group]), float(largest[group])
        text = f"{how}; the limit is stack stiffness {stiffness:.0f} N/mm x stack.deflection_max {limit:g} mm"
        yield Finding("stack.reaction", subject, round(force, 1), round(cap, 1), "N", True, text)
        stack = f"{pieces} pieces in series" if pieces > 1 else "one piece"
        text = f"deflection of {stack} under that reaction, F / k, catalogue stiffness{limit_from('stack.deflection_max')}"
        yield Finding("stack.deflection_max", subject, round(force / stiffness, 5), limit, "mm", True, text)


def by_hand(source: FindingSource) -> Iterator[Finding]:
    """Yield for every load step whether what is in stays put, or until when a hand holds it."""
    for step in source.alternative.load:
        if step.hold_by_hand is None:
            text = "stays put by gravity and the clamps shut so far, leaned by a tenth of its weight; common practice, no source"
            yield Finding("load.stays", step.part, None, None, "", True, text)
            continue
        if step.hold_by_hand == ALL_THE_WHILE:
            yield Finding("load.by_hand", step.part, None, None, "", True, OUTER_BODY)
            continue
        no_clamp = ": no clamp makes it stay" if step.hold_by_hand == UNTIL_TACKED else ""
        text = f"hold by hand {step.hold_by_hand}{no_clamp}: gravity alone does not keep it"
        yield Finding("load.by_hand", step.part, None, None, "", True, text)
