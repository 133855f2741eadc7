"""Which sites can never be used, and the coded reason why not."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.faces import areas
from solver.geometry.hulls import Flags, Hulls, Index, joined
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import EQUAL, HARDWARE_EASE, LEVEL, ROUND_TOUCH, RUNS_INTO, TOUCH
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.ledgers.answers import Small
from solver.ledgers.kept import kept_each

RULES = ("clear.body", "clear.weld", "clamp.max_part_pressure", "open_dimensions.follow")
"""What a site may break, in the order in which it is asked."""
NUMBERS = ("clear.body", "clear.weld", "clear.weld_locator", "clamp.max_part_pressure")
"""Numbers of the rule book that are read here, besides what materials yield at."""
FOLLOWS = 0.5 - 1e-9
"""A contact whose normal is within 60 degrees of an open dimension's direction must follow it."""

HAIR = 1e-3
"""Distances are taken this much to the safe side, mm: shapes are compared another way here."""
DEEP = 6 * HARDWARE_EASE
"""What runs so far into a part is in it still once it is taken off it, contact by contact, mm."""
AT_ONCE = 200_000
"""So many pairs of boxes are compared together."""


def screen(sites: Sites, laid: LaidWeldment, refused: Counter[str]) -> Sites:
    """Return the sites that run into no part, keep clear of parts they do not touch and of welds, and do not mark a part.

    `refused` counts those that fall out, by rule. What was asked before is looked up.
    """
    numbers = [laid.rules[name] for name in NUMBERS]
    yields = [laid.rules[f"material.{part.part.material}_yield_mpa"] for part in laid.parts]
    verdict = kept_each("screen", (laid.content, numbers, yields), sites.names, lambda rows: _verdicts(sites.at(rows), laid))
    for number, rule in enumerate(RULES, start=1):
        refused[rule] += int((verdict == number).sum())
    return sites.where(verdict == 0)


def _verdicts(sites: Sites, laid: LaidWeldment) -> Small:
    """Return of each site the place (from 1) in `RULES` of the first rule it breaks, 0 if it breaks none."""
    found = plainly_struck(sites, laid).astype(np.uint8)
    left = found == 0
    found[left] = _looked_at(sites.where(left), laid)
    return found


def _looked_at(sites: Sites, laid: LaidWeldment) -> Small:
    shut = sites.bodies()
    checks = (
        _too_near_to_parts(sites, joined([shut, sites.bodies(opened=True)]), laid),
        _too_near_to_welds(sites, shut, laid),
        _pressing_too_hard(sites, laid),
        _unable_to_follow(sites, laid) | _striking_at_an_end(sites, laid),
    )
    found = np.zeros(len(sites), dtype=np.uint8)
    for number, flags in enumerate(checks, start=1):
        found[flags & (found == 0)] = number
    return found


def _too_near_to_parts(sites: Sites, hulls: Hulls, laid: LaidWeldment) -> Flags:
    """Flag sites nearer than clear.body to a part they do not touch, or running into one they touch."""
    parts = laid.hulls
    clear = laid.rules["clear.body"]
    easing = _easing(sites, len(laid.all_parts))
    bad = np.zeros(len(sites), dtype=bool)
    i, j = box_pairs(hulls.boxes, parts.boxes, clear)
    declared = easing.touched[hulls.owner[i], parts.owner[j]]
    apart_i, apart_j = i[~declared], j[~declared]
    hit = near(hulls, apart_i, parts, apart_j, clear + EQUAL)
    bad[hulls.owner[apart_i[hit]]] = True
    close_i, close_j = i[declared], j[declared]
    moved = hulls.take(close_i).shifted(easing.shift[hulls.owner[close_i], parts.owner[close_j]])
    moved = moved.slimmer(easing.in_hole[hulls.owner[close_i], parts.owner[close_j]] * moved.play(HARDWARE_EASE, ROUND_TOUCH))
    hit = near(moved, np.arange(len(close_i)), parts, close_j, RUNS_INTO)
    bad[hulls.owner[close_i[hit]]] = True
    carriers = sites.bodies(carriers=True)
    i, j = box_pairs(carriers.boxes, parts.boxes, clear)
    bad[carriers.owner[i[near(carriers, i, parts, j, clear + EQUAL)]]] = True
    return bad


@dataclass(frozen=True)
class Easing:
    """Which parts each site touches (n, parts), the shift (n, parts, 3) that takes it off them, and in whose holes it is.

    What is in a round hole may fill it: it is not shifted, its body is taken a little slimmer.
    """

    touched: Flags
    shift: Array
    in_hole: Flags


def eased_further(shift: Array, normal: Array) -> Array:
    """Return shifts (..., 3) that also go off a contact by `HARDWARE_EASE` against its normal, unless they do already."""
    already = (normal * shift).sum(axis=-1) <= -HARDWARE_EASE / 2
    eased: Array = np.where(already[..., None], shift, shift - HARDWARE_EASE * normal)
    return eased


def _easing(sites: Sites, parts: int) -> Easing:
    """Return how sites are taken off the parts they touch."""
    touched = np.zeros((len(sites), parts), dtype=bool)
    ease = np.zeros((len(sites), parts, 3))
    m = sites.meetings
    in_hole = np.array([match.face.label.startswith("cutout:") for match in sites.matches], dtype=bool)[m.match]
    inside = np.zeros((len(sites), parts), dtype=bool)
    inside[m.site[in_hole], m.part[in_hole]] = True
    pair = m.site * parts + m.part
    rows = np.flatnonzero(~in_hole)
    rows = rows[np.argsort(pair[rows], kind="stable")]
    rank = np.arange(len(rows)) - np.searchsorted(pair[rows], pair[rows])
    for step in range(int(rank.max(initial=-1)) + 1):
        k = rows[rank == step]
        ease[m.site[k], m.part[k]] = eased_further(ease[m.site[k], m.part[k]], m.normal[k])
    touched[m.site, m.part] = True
    return Easing(touched, ease, inside)


def _too_near_to_welds(sites: Sites, shut: Hulls, laid: LaidWeldment) -> Flags:
    """Flag clamps and carriers nearer than clear.weld, and locators nearer than clear.weld_locator, to any weld."""
    bad = np.zeros(len(sites), dtype=bool)
    welds = laid.weld_hulls
    wide, tight = laid.rules["clear.weld"], laid.rules["clear.weld_locator"]
    carriers = sites.bodies(carriers=True)
    for hulls, gap in (
        (shut, np.where(sites.clamping[shut.owner], wide, min(wide, tight))),
        (carriers, np.full(len(carriers), wide)),
    ):
        i, j = box_pairs(hulls.boxes, welds.boxes, gap + RUNS_INTO)
        hit = near(hulls, i, welds, j, gap[i] + EQUAL)
        bad[hulls.owner[i[hit]]] = True
    return bad


def _pressing_too_hard(sites: Sites, laid: LaidWeldment) -> Flags:
    """Flag clamps whose pad presses harder than clamp.max_part_pressure allows."""
    share = laid.rules["clamp.max_part_pressure"]
    yields = np.array([laid.rules[f"material.{part.part.material}_yield_mpa"] for part in laid.parts])
    forces = np.array([s.top.clamp.force_n if s.top.clamp else 0.0 for s in sites.stacks])
    bad = np.zeros(len(sites), dtype=bool)
    m = sites.meetings
    rows = np.flatnonzero(sites.clamping[m.site])
    patches = m.patches.take(rows)
    sizes = areas(patches)
    for k in np.flatnonzero(patches.count == 2).tolist():
        along = np.diff(patches.points[patches.first[k] :][:2], axis=0)
        sizes[k] = float(np.linalg.norm(along)) * _strip(laid.parts[int(m.part[rows[k]])])
    bad[m.site[rows[forces[sites.stack[m.site[rows]]] > share * yields[m.part[rows]] * sizes]]] = True
    return bad


def _strip(part: LaidPart) -> float:
    """Return how wide a strip of a round part lies within touching distance of a pad along a line, mm."""
    return 2 * math.sqrt((part.part.section.diameter or 0.0) * TOUCH)


def ends_of_open_dimensions(sites: Sites, laid: LaidWeldment) -> Iterator[tuple[Sites, LaidWeldment]]:
    """Yield sites and weldment at both ends of every open dimension: its part moved, settings that follow it changed."""
    m = sites.meetings
    moves = np.array([match.pad.moves for match in sites.matches], dtype=bool)
    for dimension in laid.weldment.open_dimensions:
        part = next(held for held in laid.parts if held.id == dimension.part)
        direction = laid.rotation @ np.array(dimension.direction)
        per_mm = np.zeros(len(sites))
        own = np.flatnonzero((m.part == part.index) & (np.abs(m.normal @ direction) >= FOLLOWS) & moves[m.match])
        gain = (m.normal[own] * sites.travels.axis[sites.stack[m.site[own]]]).sum(axis=1)
        own, gain = own[np.abs(gain) > LEVEL], gain[np.abs(gain) > LEVEL]
        per_mm[m.site[own]] = (m.normal[own] @ direction) / gain
        for end in (dimension.low, dimension.high):
            shift = end * direction
            there = replace(part, hulls=part.hulls.shifted(shift), exact=part.exact.shifted(shift))
            parts = tuple(there if held is part else held for held in laid.parts)
            yield replace(sites, setting=sites.setting + per_mm * end), replace(laid, parts=parts)


def _striking_at_an_end(sites: Sites, laid: LaidWeldment) -> Flags:
    """Flag sites that come too near to a part at an end of an open dimension."""
    bad = np.zeros(len(sites), dtype=bool)
    for moved, there in ends_of_open_dimensions(sites, laid):
        bad |= _too_near_to_parts(moved, joined([moved.bodies(), moved.bodies(opened=True)]), there)
    return bad


def _unable_to_follow(sites: Sites, laid: LaidWeldment) -> Flags:
    """Flag sites whose contact on a part with an open dimension cannot follow its whole range by their setting."""
    bad = np.zeros(len(sites), dtype=bool)
    m = sites.meetings
    for dimension in laid.weldment.open_dimensions:
        part = next(held.index for held in laid.parts if held.id == dimension.part)
        direction = laid.rotation @ np.array(dimension.direction)
        for k in np.flatnonzero((m.part == part) & (np.abs(m.normal @ direction) >= FOLLOWS)).tolist():
            site = int(m.site[k])
            stack = sites.stacks[int(sites.stack[site])]
            pad = sites.matches[int(m.match[k])].pad
            gain = 0.0 if stack.travel is None or not pad.moves else float(m.normal[k] @ stack.travel.axis)
            if stack.travel is None or abs(gain) < LEVEL:
                bad[site] = True
                continue
            per_mm = float(m.normal[k] @ direction) / gain
            ends = [float(sites.setting[site]) + per_mm * end for end in (dimension.low, dimension.high)]
            bad[site] |= not stack.travel.holds(*ends)
    return bad


def plainly_struck(sites: Sites, laid: LaidWeldment) -> Flags:
    """Flag sites that come nearer than clear.body to a part they do not touch, or run deep into one they do, (n,).

    As far as boxes within both tell, and in no round hole: a body and a part are as near as these, or nearer. Most that falls in
    screening falls so, at little cost.
    """
    bad = np.zeros(len(sites), dtype=bool)
    if not len(sites):
        return bad
    parts, of = laid.inner_boxes
    touched = np.zeros((len(sites), len(laid.all_parts)), dtype=bool)
    touched[sites.meetings.site, sites.meetings.part] = True
    in_hole = np.array([match.face.label.startswith("cutout:") for match in sites.matches], dtype=bool)
    filled = np.zeros_like(touched)
    filled[sites.meetings.site, sites.meetings.part] |= in_hole[sites.meetings.match]
    for boxes, rows in _bodies(sites):
        step = max(1, AT_ONCE // (len(parts) * len(boxes[0])))
        for first in range(0, len(rows), step):
            look()
            some = rows[first : first + step]
            near, within = _near(boxes[first : first + step], parts, laid.rules["clear.body"] - HAIR)
            bad[some] |= np.where(touched[some][:, of], within & ~filled[some][:, of], near).any(axis=1)
    return bad


def _bodies(sites: Sites) -> list[tuple[Array, Index]]:
    """Return by stack the boxes within its bodies at each of its sites (k, boxes, 2, 3), and the sites (k,)."""
    order = np.argsort(sites.stack, kind="stable")
    ends = np.searchsorted(sites.stack[order], np.arange(len(sites.stacks) + 1))
    found = []
    for index in np.flatnonzero(np.diff(ends)).tolist():
        stack, rows = sites.stacks[index], order[ends[index] : ends[index + 1]]
        at = sites.origin[rows][:, None, None, :]
        moved = at + sites.displacement[rows][:, None, None, :]
        still, moving = stack.inner_boxes
        found.append((np.concatenate([still + at, moving + moved], axis=1), rows))
    return found


def _near(boxes: Array, parts: Array, gap: float) -> tuple[Flags, Flags]:
    """Return which parts' boxes (p, 2, 3) any box (k, boxes, 2, 3) of a site is nearer to than a gap, or deep in, (k, p)."""
    squared, most = np.zeros((*boxes.shape[:2], len(parts))), np.full((*boxes.shape[:2], len(parts)), -np.inf)
    for axis in range(3):
        low, high = boxes[:, :, 0, axis, None], boxes[:, :, 1, axis, None]
        apart = np.maximum(low - parts[:, 1, axis], parts[:, 0, axis] - high)
        most = np.maximum(most, apart)
        squared += np.maximum(apart, 0.0) ** 2
    return np.asarray((squared < gap**2).any(axis=1)), np.asarray((most < -DEEP).any(axis=1))
