"""The whole check: every alternative by every rule, then the plan as a whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.stock import StockSnapshot
from solver.checks.report import Report, fail
from solver.checks.rules.asked_pieces import check_asked_pieces
from solver.checks.rules.bearing import check_bearing
from solver.checks.rules.bodies_apart import check_apart
from solver.checks.rules.changes import check_changes
from solver.checks.rules.clamping import check_clamped
from solver.checks.rules.comparing import Compared, check_ranking
from solver.checks.rules.contacts import check_contacts
from solver.checks.rules.counted_stock import check_counted, check_load
from solver.checks.rules.holding import check_held
from solver.checks.rules.lie import check_lie
from solver.checks.rules.lifting import check_lifting
from solver.checks.rules.loading import check_loading
from solver.checks.rules.located_together import check_together
from solver.checks.rules.locating import check_located
from solver.checks.rules.locating_error import check_accuracy, check_open_dimensions
from solver.checks.rules.measures import check_measures
from solver.checks.rules.opposed_locators import check_opposed
from solver.checks.rules.pegs import check_holes, check_pegs
from solver.checks.rules.price import check_money
from solver.checks.rules.refusal import check_refused
from solver.checks.rules.routes import check_routes
from solver.checks.rules.side_points import check_side_points
from solver.checks.rules.solids import check_solids
from solver.checks.rules.stations import by_station, check_between, check_equal, check_station_count, surroundings
from solver.checks.rules.status import check_status
from solver.checks.rules.structure import check_structure
from solver.checks.rules.torch import check_reach
from solver.checks.rules.variants import about, check_listed, check_same_lie, check_variant
from solver.checks.scene.reading import read_alternative
from solver.checks.scene.scene import Scene, set_scene
from solver.checks.scene.values import value_faults
from solver.deadline import look
from solver.plans import Alternative, Finding
from solver.request import Request
from solver.variants import alone

CHECKS: tuple[Callable[[Scene], Iterator[Finding]], ...] = (
    check_solids,
    check_pegs,
    check_apart,
    check_contacts,
    check_bearing,
    check_located,
    check_together,
    check_side_points,
    check_opposed,
    check_clamped,
    check_held,
    check_accuracy,
    check_open_dimensions,
    check_reach,
    check_routes,
    check_loading,
    check_lifting,
)
TOGETHER: tuple[Callable[[Sequence[Scene]], Iterator[Finding]], ...] = (
    check_holes,
    check_counted,
    check_between,
    check_equal,
    check_money,
    check_measures,
    check_asked_pieces,
    check_changes,
)


def check(request: Request, stock: StockSnapshot, plan: Mapping[str, Any]) -> Report:
    """Check a plan document against the request and the stock it was made for.

    Parameters
    ----------
    request, stock : Request, StockSnapshot
        What the plan answers; `request.rules` is the rule book it must keep to.
    plan : dict
        The plan document as plain JSON values.

    Returns
    -------
    Report
        Every finding; `report.ok` if all hold.
    """
    documents = plan.get("alternatives")
    if not isinstance(documents, list | tuple):
        return Report((fail("document.readable", "/alternatives", "a list of alternatives is expected"),))
    findings: list[Finding] = []
    answers = []
    for k, document in enumerate(documents):
        try:
            answer = read_alternative(document, f"/alternatives/{k}")
        except InvalidDocument as wrong:
            findings += _unreadable(wrong.faults)
            continue
        own = _checked(request, stock, answer)
        findings += own
        answers.append(Compared.of(answer, own, request, stock))
    if len(answers) == len(documents):
        findings += check_ranking(request, answers)
        findings += check_status(request, stock, plan, [each.answer for each in answers])
    findings += check_refused(request, plan, lambda eased, document: _of_document(eased, stock, document))
    return Report(tuple(findings))


def check_alternative(request: Request, stock: StockSnapshot, alternative: Alternative) -> tuple[Finding, ...]:
    """Check one alternative by every rule of the request's rule book; returns the findings, failed and passed alike.

    Numbers, outlines and frames are judged as strictly as those read from a document.
    """
    faults = tuple(value_faults(alternative))
    return _unreadable(faults) if faults else _checked(request, stock, alternative)


def _of_document(request: Request, stock: StockSnapshot, document: Mapping[str, Any]) -> tuple[Finding, ...]:
    try:
        return _checked(request, stock, read_alternative(document))
    except InvalidDocument as wrong:
        return _unreadable(wrong.faults)


def _unreadable(faults: Sequence[Fault]) -> tuple[Finding, ...]:
    return tuple(fail("document.readable", fault.pointer, f"{fault.wrong}; accepted: {fault.accepted}") for fault in faults)


def _checked(request: Request, stock: StockSnapshot, whole: Alternative) -> tuple[Finding, ...]:
    answers = by_station(whole)
    broken = list(check_station_count(request, whole, answers))
    lies: list[Finding] = []
    for answer in answers:
        broken += check_structure(request, stock, answer)
        lies += check_lie(request, answer)
    if broken or not all(finding.ok for finding in lies):
        return (*broken, *lies)
    scenes = _scenes(request, stock, answers)
    runs, of_variants = _runs(request, stock, whole, scenes[0])
    if runs is None:
        return (*lies, *of_variants)
    scenes[0] = replace(scenes[0], runs=runs)
    findings = [finding for scene in scenes for one in CHECKS for finding in _found(one(scene))]
    findings += [finding for one in TOGETHER for finding in _found(one(scenes))]
    return (*lies, *findings, *of_variants)


def _runs(
    request: Request, stock: StockSnapshot, whole: Alternative, scene: Scene
) -> tuple[tuple[Scene, ...] | None, list[Finding]]:
    """Return the scenes of the variants and what is found of each as a plan of its own; no scenes where they cannot be set."""
    findings = list(check_listed(request, whole))
    if not all(finding.ok for finding in findings):
        return None, findings
    runs: list[Scene] = []
    for asked, variant in zip(request.variants, whole.variants, strict=True):
        own, answer = request.of_variant(asked), alone(whole, variant)
        lies = list(check_lie(own, answer))
        broken = [finding for finding in (*check_structure(own, stock, answer), *lies) if not finding.ok]
        found = [*broken, *(() if broken else (*lies, *check_variant(whole, variant)))]
        if not broken:
            there = set_scene(own, stock, request.rules, answer)
            found += [finding for one in CHECKS for finding in _found(one(there))]
            found += [finding for one in (check_holes, check_load) for finding in _found(one([there]))]
            found += list(check_same_lie(scene, there)) if asked.mirror is None else []
            runs.append(there)
        findings += [replace(finding, subject=about(asked.name) + finding.subject) for finding in found]
    return (tuple(runs) if len(runs) == len(request.variants) else None), findings


def scenes_of(request: Request, stock: StockSnapshot, alternative: Alternative) -> tuple[Scene, ...]:
    """Return the scenes of an alternative that was checked, one a station; the first has those of the variants."""
    scenes = _scenes(request, stock, by_station(alternative))
    sizes = zip(request.variants, alternative.variants, strict=True)
    runs = tuple(set_scene(request.of_variant(one), stock, request.rules, alone(alternative, other)) for one, other in sizes)
    return (replace(scenes[0], runs=runs), *scenes[1:])


def _scenes(request: Request, stock: StockSnapshot, answers: Sequence[Alternative]) -> list[Scene]:
    scenes = [set_scene(request, stock, request.rules, answer) for answer in answers]
    return [_beside(scene, scenes) for scene in scenes] if len(scenes) > 1 else scenes


def _found(findings: Iterator[Finding]) -> Iterator[Finding]:
    """Yield what a check finds, with a look at the deadline before each."""
    look()
    for finding in findings:
        yield finding
        look()


def _beside(scene: Scene, scenes: Sequence[Scene]) -> Scene:
    """Return a station's scene with the bodies of the others around it."""
    others = {
        f"{id} (station {k})": body
        for k, other in enumerate(scenes, 1)
        if other is not scene
        for id, body in surroundings(other).items()
    }
    return replace(scene, neighbours=others)
