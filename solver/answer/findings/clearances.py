"""Findings on the heat: how near to every weld the nearest piece stands, and locators that stand nearer than the rest may."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from solver.answer.findings.source import FindingSource, limit_from
from solver.geometry.proximity import distances
from solver.hardware.candidates import bodies
from solver.plans import Finding


def weld_clearances(source: FindingSource) -> Iterator[Finding]:
    """Yield for every weld its nearest piece, clamps shut, and every locator that is nearer than `clear.weld`."""
    problem = source.fixture.problem
    laid, ordered = problem.laid, source.fixture.ordered
    wide, tight = source.rules["clear.weld"], min(source.rules["clear.weld"], source.rules["clear.weld_locator"])
    solids, paths = bodies([problem.candidates[index] for index in ordered]), laid.weld_hulls
    i, j = (grid.ravel() for grid in np.meshgrid(np.arange(len(solids)), np.arange(len(paths)), indexing="ij"))
    nearest = np.full((len(ordered), len(laid.paths)), np.inf)
    np.minimum.at(nearest, (solids.owner[i], paths.owner[j]), distances(solids, i, paths, j))
    for number, weld in enumerate(laid.weldment.welds):
        away = nearest[:, number]
        if not len(away):
            continue
        least = int(away.argmin())
        locates = not problem.candidates[ordered[least]].clamp
        rule = "clear.weld_locator" if locates and away[least] < wide else "clear.weld"
        what = f"nearest piece is {source.fixture.ids[ordered[least]][-1]}, a {_kind(source, ordered[least])}"
        text = f"{what}; distance to the weld's path, clamps shut{limit_from(rule)}"
        yield Finding("clear.weld", weld.id, _mm(away[least]), tight if rule != "clear.weld" else wide, "mm", True, text)
        for place in np.flatnonzero(away < wide - 1e-4).tolist():
            index = ordered[place]
            text = f"a locator nearer than the {wide:g} mm other hardware keeps: shield it{limit_from('clear.weld_locator')}"
            subject = f"{weld.id} {source.fixture.ids[index][-1]}"
            yield Finding("clear.weld_locator", subject, _mm(away[place]), tight, "mm", True, text)


def _kind(source: FindingSource, index: int) -> str:
    return source.fixture.problem.candidates[index].stack.top.kind.replace("_", " ")


def _mm(distance: float) -> float:
    return round(float(distance), 3)
