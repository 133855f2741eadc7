"""What is told about an alternative: every check's number with its limit and source, and what was not computed.

The independent checker's numbers come first; beside them stand those that only the planner has: how near a load comes to
moving a part, how far a locator gives, what decided. A group that cannot be computed says so and never costs the plan.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator

from solver.answer.findings.accuracy import points, shrinkage
from solver.answer.findings.clearances import weld_clearances
from solver.answer.findings.holding import by_hand, decided, loads, reactions
from solver.answer.findings.source import FindingSource, limit_from
from solver.answer.findings.ways import ways
from solver.plans import Finding

log = logging.getLogger(__name__)

PARTS = {
    "locate.support_margin": "centre of gravity inside the outline of the support patches",
    "locate.side_spacing_ratio": "distance, edge to edge",
    "locate.condition_max": "condition number of the locator matrix (Asada & By 1985; Cai, Hu & Yuan 1997)",
    "clamp.per_length": "clamps whose line of force passes through it",
    "clamp.over_support": "",
    "clamp.max_part_pressure": "pressure of the clamp's pad: rated force over its patch on the part",
}
"""Rules whose numbers come first, and what was computed where the checker's own words do not say it."""
FACING = {"locate.opposed": ""}
"""Told where there are any."""
REST = {
    "torch.sample": "",
    "tack.pitch": "",
    "open_dimensions.follow": "",
    "way.lift": "",
    "stock.counted": "",
    "stock.lead_time": "",
    "table.max_load": "",
}
"""Rules whose numbers come last."""
KEPT = {
    "fit.overlap": "no two parts overlap by more than allowed",
    "clear.body": "bodies keep apart, clamps shut and open",
    "torch.angles": "every torch direction keeps its work and travel angle",
    "torch.free": "the torch strikes nothing at any sample",
    "hand.free": "the gloved hand strikes nothing at any sample",
    "way.clear": "every part goes in and the weldment comes out past everything",
    "clamp.pushes_off": "every clamp pushes its part onto locators and off none",
}
"""Rules that hold without a number."""
CODES = {
    "hold.decided": "choices that cost no more did not hold; the load case that decided, and what holding costs",
    "locate.decided": "choices that cost no more were not true enough; what decided, and what it costs",
    "locate.root_sum_square": "likely locating error at a toleranced point",
    "stack.reaction": "largest reaction of a locator's contact",
    "load.stays": "after this load step everything that is in stays put",
    "load.by_hand": "a hand holds this part until the clamp named is shut",
    "way.in": "the way in of a part that is not lowered straight",
    "way.out": "the way out of the finished weldment",
    "shrinkage.proposal": "stop offset that a weld's shrinkage would ask for; never applied",
    "not_computed": "what no number stands for",
}
"""What the planner's own findings say; the others are rules of the rule book and codes of the checker."""
NOT_COMPUTED = {
    "weld distortion": "bending and twisting of the weldment by its welds, and spring-back when the clamps open",
    "elastic reactions": "how reactions share between stiff and soft locators; some balance within the law is proved",
    "bending of parts": "deflection of the parts themselves and dents in thin walls beside a clamp's pad",
    "the pull of whole beads": "only tacks pull; heat, impact and vibration are left out",
    "cable and helmet room": "torch and gloved hand are checked, not the hose, the arm behind the hand or the helmet",
    "peg wear": "the play of pegs counts where the catalogue states their fit; how two pegs let a piece turn, and wear, do not",
}


def findings(source: FindingSource) -> tuple[Finding, ...]:
    """Return the findings of an alternative in the order they are read."""
    groups: tuple[tuple[str, Callable[[FindingSource], Iterator[Finding]]], ...] = (
        ("what decided", decided),
        ("parts and clamps", lambda source: _numbers(source, PARTS)),
        ("locators face to face", lambda source: _numbers(source, FACING)),
        ("locating error", points),
        ("holding", loads),
        ("locators' reactions and deflections", reactions),
        ("loading by hand", by_hand),
        ("ways", ways),
        ("lifting", _lifting),
        ("distances to welds", weld_clearances),
        ("the rest of the checks", lambda source: _numbers(source, REST)),
        ("bodies, torch and ways", _kept),
        ("shrinkage", shrinkage),
    )
    found: list[Finding] = []
    for name, group in groups:
        try:
            found += list(group(source))
        except Exception as error:  # a finding is worth less than a plan: the plan is kept and says what is missing
            log.exception("a plan's findings on %s could not be computed", name)
            text = f"could not be computed: {type(error).__name__}: {error}"
            found.append(Finding("not_computed", name, None, None, "", True, text))
    return (*found, *(Finding("not_computed", what, None, None, "", True, text) for what, text in NOT_COMPUTED.items()))


def _numbers(source: FindingSource, wanted: dict[str, str]) -> Iterator[Finding]:
    """Yield the checker's findings on some rules, each with what was computed and the limit's source."""
    for rule, words in wanted.items():
        for entry in source.checked:
            if entry.rule == rule:
                text = f"{words}: {entry.text}" if words and entry.text else words or entry.text
                text += limit_from(rule)
                yield Finding(rule, entry.subject, entry.value, entry.limit, entry.unit, entry.ok, text)


def _kept(source: FindingSource) -> Iterator[Finding]:
    """Yield what holds without a number, a finding a rule."""
    for rule, words in KEPT.items():
        entries = [entry for entry in source.checked if entry.rule == rule]
        if entries:
            text = f"{words} ({len(entries)} checked){limit_from(rule)}" if len(entries) > 1 else words + limit_from(rule)
            yield Finding(rule, entries[0].subject if len(entries) == 1 else "weldment", None, None, "", True, text)


def _lifting(source: FindingSource) -> Iterator[Finding]:
    """Yield the mass of the weldment and of its heaviest part, and of every part that one person should not lift alone."""
    limit = source.rules["lift.one_person_kg"]
    parts = source.fixture.problem.laid.parts
    heaviest = max(parts, key=lambda part: part.mass)
    masses = {part.id: part.mass for part in parts if part is heaviest or part.mass > limit}
    masses["weldment"] = sum(part.mass for part in parts)
    for subject, mass in masses.items():
        advice = "more than one person lifts: lift it with help" if mass > limit else "one person may lift it"
        text = f"{advice}{'; the heaviest part' if subject == heaviest.id else ''}{limit_from('lift.one_person_kg')}"
        yield Finding("lift.one_person_kg", subject, round(mass, 3), limit, "kg", True, text)
