"""Which candidates can never stand, and the coded reason why not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from inventory.shapes import Array
from solver.candidates.assembly import Assembly
from solver.candidates.placing import Candidate, bodies, carrier_bodies
from solver.geometry.hulls import Flags, Hulls, box_pairs, joined, near

EASE = 0.06
"""Touching bodies are taken this far apart (mm) before asking whether they run into each other."""
HAIR = 0.02


@dataclass
class Screened:
    """The candidates that may stand, and how many were refused by rule code."""

    kept: list[Candidate]
    refused: Counter[str] = field(default_factory=Counter)


def screen(candidates: Sequence[Candidate], assembly: Assembly) -> Screened:
    """Drop candidates that run into a part, come too near to one they do not touch, or too near to a weld."""
    shut, opened = bodies(candidates), bodies(candidates, opened=True)
    everything = joined([shut, opened])
    reasons = [
        ("clear.body", _too_near_to_parts(candidates, everything, assembly)),
        ("clear.weld", _too_near_to_welds(candidates, shut, assembly)),
    ]
    result = Screened([])
    for index, candidate in enumerate(candidates):
        code = next((rule for rule, flags in reasons if flags[index]), None)
        if code is None:
            result.kept.append(candidate)
        else:
            result.refused[code] += 1
    return result


def _too_near_to_parts(candidates: Sequence[Candidate], hulls: Hulls, assembly: Assembly) -> Flags:
    """Flag candidates nearer than clear.body to a part they do not touch, or running into one they touch."""
    bad = np.zeros(len(candidates), dtype=bool)
    parts = assembly.everything
    clear = assembly.rules["clear.body"]
    touched = np.zeros((len(candidates), len(assembly.parts)), dtype=bool)
    ease = np.zeros((len(candidates), len(assembly.parts), 3))
    for index, candidate in enumerate(candidates):
        for meeting in candidate.meetings:
            if not touched[index, meeting.part] or float(meeting.normal @ ease[index, meeting.part]) > -EASE / 2:
                ease[index, meeting.part] -= EASE * meeting.normal
            touched[index, meeting.part] = True
    i, j = box_pairs(hulls.boxes, parts.boxes, clear)
    declared = touched[hulls.owner[i], parts.owner[j]]
    apart_i, apart_j = i[~declared], j[~declared]
    hit = near(hulls, apart_i, parts, apart_j, clear + 1e-6)
    bad[hulls.owner[apart_i[hit]]] = True
    close_i, close_j = i[declared], j[declared]
    shift = ease[hulls.owner[close_i], parts.owner[close_j]]
    eased = hulls.take(close_i).shifted(shift)
    rows = np.arange(len(close_i))
    hit = near(eased, rows, parts, close_j, HAIR)
    bad[hulls.owner[close_i[hit]]] = True
    return bad


def path_hulls(paths: Sequence[Array]) -> Hulls:
    """Return weld paths as two-point hulls, owner = weld index."""
    segments = [(np.array([a, b]), index) for index, path in enumerate(paths) for a, b in zip(path, path[1:], strict=False)]
    return Hulls.of([segment for segment, _ in segments], [index for _, index in segments])


def _too_near_to_welds(candidates: Sequence[Candidate], hulls: Hulls, assembly: Assembly) -> Flags:
    """Flag clamps and carriers nearer than clear.weld, and locators nearer than clear.weld_locator, to any weld."""
    bad = np.zeros(len(candidates), dtype=bool)
    welds = path_hulls(assembly.paths)
    clamps = np.array([candidate.clamp for candidate in candidates], dtype=bool)
    wide, tight = assembly.rules["clear.weld"], assembly.rules["clear.weld_locator"]
    for bodies_near, gap in (
        (hulls, np.where(clamps[hulls.owner], wide, min(wide, tight)) if len(hulls) else np.zeros(0)),
        (carriers := carrier_bodies(candidates), np.full(len(carriers), wide)),
    ):
        i, j = box_pairs(bodies_near.boxes, welds.boxes, gap + HAIR)
        hit = near(bodies_near, i, welds, j, gap[i] + 1e-6)
        bad[bodies_near.owner[i[hit]]] = True
    return bad
