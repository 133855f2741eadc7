"""Torch and hand: how far they lean, where samples and tacks are, and what room they take."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import numpy as np

from solver.checks.arithmetic.paths import Path
from solver.checks.rules.torch import leaning, sample_places, tacked
from solver.checks.scene.scene import Scene
from solver.checks.tolerances import ON_PATH, TORCH_SLACK
from solver.plans import WeldSamples
from solver.rescoring.limits.limit_kind import LimitKind, Measurement, Rows, Trespass, TurningPoint, never
from solver.rule_book.book import RuleBook
from solver.weldment import Weld

WORK, TRAVEL = "torch.work_tolerance", "torch.travel_angle"
SAMPLE, LENGTH, PITCH = "torch.sample", "tack.length", "tack.pitch"
SIZES = ("torch.nozzle_diameter", "torch.length", "torch.hand_diameter", "torch.hand_length")
PLACES = ("torch.stickout", "torch.hand_from")
SLACK = 1e-3


def _welds(measured: Measurement) -> Iterator[tuple[Scene, Weld, Path, WeldSamples]]:
    for scene in measured.scenes:
        listed = {weld.id: weld for weld in scene.answer.welds}
        for weld in scene.welds:
            if weld.id in listed:
                yield scene, weld, Path(scene.path(weld)), listed[weld.id]


def _angles(measured: Measurement) -> list[list[Any]]:
    """Return weld and sample with the work and the travel angle at each stretch that may judge it, degrees.

    Samples within one stretch are one row a weld: the greatest angles of them all.
    """
    rows: list[list[Any]] = []
    for scene, weld, path, samples in _welds(measured):
        most = [0.0, 0.0]
        for k, (at, torch) in enumerate(samples.samples):
            place, _ = min(path.nearest(np.array(at)), key=lambda entry: entry[1])
            leans = [leaning(scene, weld, path, segment, np.array(torch)) for segment in path.segments(place)]
            known = [[round(work, 6), round(travel, 6)] for found in leans if found is not None for work, travel in [found]]
            if len(leans) == 1 and known:
                most = [max(pair) for pair in zip(most, known[0], strict=True)]
            else:
                rows.append([f"{weld.id} {k}", known])
        rows.append([weld.id, [most]])
    return rows


def _leaning_too_far(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    for subject, stretches in rows:
        wrong = [_wrong(subject, work, travel, after) for work, travel in stretches]
        if wrong and all(found is not None for found in wrong) and wrong[0] is not None:
            yield wrong[0]


def _wrong(subject: str, work: float, travel: float, rules: RuleBook) -> Trespass | None:
    for rule, angle in ((TRAVEL, travel), (WORK, work)):
        if angle > rules[rule] + TORCH_SLACK:
            return Trespass(rule, subject, angle, rules[rule], "deg")
    return None


def _leans(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    for subject, stretches in rows:
        for work, travel in stretches:
            yield TurningPoint(work if rule == WORK else travel, TORCH_SLACK, subject)


def _samples(measured: Measurement) -> list[list[Any]]:
    """Return weld, whether it is tacked only, its length and the places of its samples, mm."""
    return [
        [weld.id, weld.in_fixture == "tack", path.length, [float(place) for place in sample_places(path, samples)[0]]]
        for _, weld, path, samples in _welds(measured)
        if weld.in_fixture != "none"
    ]


def _gaps(along: float, places: list[float]) -> list[float]:
    return [later - earlier for earlier, later in pairwise([0.0, *places, along])]


def _uncovered(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    for weld, tacks, along, places in rows:
        if not tacks:
            gap = max(_gaps(along, places))
            if gap > after[SAMPLE] + SLACK:
                yield Trespass(SAMPLE, weld, gap, after[SAMPLE], "mm")
            continue
        for finding in tacked(after, weld, along, places):
            if not finding.ok:
                limit = after[finding.rule] if finding.limit is None else finding.limit
                yield Trespass(finding.rule, weld, finding.value, limit, "mm")


def _places(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    for weld, tacks, along, places in rows:
        gaps = _gaps(along, places)
        if rule == SAMPLE:
            yield from (TurningPoint(gap, SLACK, weld) for gap in gaps)
        elif tacks:
            yield from _tack_edges(weld, along, places, rules, rule)


def _tack_edges(weld: str, along: float, places: list[float], rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    runs: list[list[float]] = []
    for place in places:
        if runs and place - runs[-1][1] <= rules[SAMPLE] + SLACK:
            runs[-1][1] = place
        else:
            runs.append([place, place])
    for low, high in runs if rule == LENGTH else ():
        yield TurningPoint(high - low, ON_PATH, weld)
    for earlier, later in pairwise(runs):
        room = later[0] - earlier[1]
        turns = rules[PITCH] - room if rule == LENGTH else room + min(rules[LENGTH], along)
        yield TurningPoint(turns, ON_PATH, weld)


def _room(measured: Measurement) -> list[list[Any]]:
    """Return how many samples torch and hand are at."""
    return [[count]] if (count := sum(len(samples.samples) for *_, samples in _welds(measured))) else []


def _wider(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    if rows:
        larger = [rule for rule in SIZES if after[rule] > before[rule]]
        for rule in (*larger, *(rule for rule in PLACES if after[rule] != before[rule])):
            yield Trespass(rule, why="torch and hand take other room, and what they strike is not measured")


ANGLES = LimitKind("torch angles", (WORK, TRAVEL), _angles, _leaning_too_far, _leans)
SAMPLES = LimitKind("samples", (SAMPLE, LENGTH, PITCH), _samples, _uncovered, _places)
ROOM = LimitKind("torch room", (*SIZES, *PLACES), _room, _wider, never)
