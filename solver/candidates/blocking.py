"""What a candidate keeps from happening: another candidate, a torch direction, a way in or out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.candidates.assembly import Assembly
from solver.candidates.placing import Candidate
from solver.candidates.ways import Way
from solver.geometry.faces import ROUND_TOUCH
from solver.geometry.hulls import Hulls, Index, joined
from solver.geometry.joints import Sample, torch_directions
from solver.geometry.near import box_pairs, near
from solver.rules import RuleBook

EASE = 0.06
HAIR = 0.02


@dataclass(frozen=True)
class TorchWays:
    """Torch directions that the parts and the table leave free at each sample.

    `sample` (n,) and `direction` (n, 3) run together; `capsules` holds two segments (torch, hand) for each, in order.
    `lacking` is how much higher the weldment must lie for the table to leave every sample a direction, mm: 0 if it does,
    infinite if the parts alone shut one in.
    """

    samples: tuple[Sample, ...]
    sample: Index
    direction: Array
    capsules: Hulls
    radii: Array
    lacking: float


def torch_ways(assembly: Assembly) -> TorchWays:
    """Return all torch directions free of parts and table; samples without any are missing from `sample`."""
    rules = assembly.rules
    rows, ways = [], []
    for index, place in enumerate(assembly.samples):
        found = torch_directions(place, rules)
        rows.append(np.full(len(found), index, dtype=np.intp))
        ways.append(found)
    if not rows:
        return TorchWays((), np.zeros(0, np.intp), np.zeros((0, 3)), Hulls.of([], []), np.zeros(0), 0.0)
    sample, direction = np.concatenate(rows), np.concatenate(ways)
    at = np.array([entry.at for entry in assembly.samples])[sample]
    capsules, radii = _capsules(at, direction, rules)
    lowest = (capsules.points[:, 2].reshape(-1, 2).min(axis=1) - radii).reshape(-1, 2).min(axis=1)
    lacking = np.maximum(0.0, -lowest)
    parts = assembly.everything
    i, j = box_pairs(capsules.boxes, parts.boxes, radii)
    hit = near(capsules, i, parts, j, radii[i] + HAIR)
    lacking[np.unique(i[hit] // 2)] = np.inf
    free = np.flatnonzero(lacking == 0.0)
    by_sample = np.full(len(assembly.samples), np.inf)
    np.minimum.at(by_sample, sample, lacking)
    both = np.stack([2 * free, 2 * free + 1], axis=1).reshape(-1)
    return TorchWays(assembly.samples, sample[free], direction[free], capsules.take(both), radii[both], float(by_sample.max()))


def _capsules(at: Array, direction: Array, rules: RuleBook) -> tuple[Hulls, Array]:
    """Return torch and hand capsules' axes (two a direction) and their radii."""
    torch, hand = rules["torch.nozzle_diameter"] / 2, rules["torch.hand_diameter"] / 2
    near_end = rules["torch.stickout"]
    hand_from = near_end + rules["torch.hand_from"]
    spans = (
        (near_end + torch, max(near_end + torch, near_end + rules["torch.length"] - torch)),
        (hand_from + hand, max(hand_from + hand, hand_from + rules["torch.hand_length"] - hand)),
    )
    ends = np.array(spans)
    points = at[:, None, None, :] - direction[:, None, None, :] * ends[None, :, :, None]
    count = np.full(2 * len(at), 2, dtype=np.intp)
    hulls = Hulls(points.reshape(-1, 3), np.cumsum(count) - count, count, np.repeat(np.arange(len(at)), 2))
    return hulls, np.tile([torch, hand], len(at))


def torch_blocks(ways: TorchWays, hulls: Hulls) -> set[tuple[int, int]]:
    """Return (way, candidate) pairs: with this candidate standing, that torch direction is shut."""
    i, j = box_pairs(ways.capsules.boxes, hulls.boxes, ways.radii)
    hit = near(ways.capsules, i, hulls, j, ways.radii[i] + HAIR)
    return set(zip((i[hit] // 2).tolist(), hulls.owner[j[hit]].tolist(), strict=True))


def conflicts(candidates: Sequence[Candidate], shut: Hulls, opened: Hulls, clear: float) -> set[tuple[int, int]]:
    """Return pairs (i < j) of candidates whose bodies, clamps open or shut, come nearer than `clear`."""
    both = joined([shut, opened])
    i, j = box_pairs(both.boxes, both.boxes, clear)
    one, two = both.owner[i], both.owner[j]
    keep = one < two
    i, j, one, two = i[keep], j[keep], one[keep], two[keep]
    taken = _sharing_holes(candidates)
    codes = one * len(candidates) + two
    known = (
        np.isin(codes, np.array([a * len(candidates) + b for a, b in taken], dtype=np.intp)) if taken else np.zeros(len(i), bool)
    )
    i, j, codes = i[~known], j[~known], codes[~known]
    found = set(taken)
    hit = near(both, i, both, j, clear + 1e-6)
    found.update((int(code) // len(candidates), int(code) % len(candidates)) for code in np.unique(codes[hit]))
    return found


def _sharing_holes(candidates: Sequence[Candidate]) -> set[tuple[int, int]]:
    users: dict[tuple[int, int], list[int]] = {}
    for index, candidate in enumerate(candidates):
        for hole in candidate.holes:
            users.setdefault(hole, []).append(index)
    return {(a, b) for sharing in users.values() for k, a in enumerate(sharing) for b in sharing[k + 1 :]}


def way_blocks(
    movers: Sequence[int], ways: Sequence[Way], assembly: Assembly, candidates: Sequence[Candidate], hulls: Hulls, under: Hulls
) -> list[Blocked]:
    """Return for each way of parts moving together what stands in it (`hulls`: clamps open; `under`: what carries top pieces).

    A piece that touches a part in its place may slide along it; its carriers keep their distance.
    """
    clear = assembly.rules["way.clear"]
    legs, of_way = _legs(ways)
    pieces: list[set[int]] = [set() for _ in legs]
    carriers: list[set[int]] = [set() for _ in legs]
    for mover in movers:
        body = assembly.parts[mover].hulls
        swept = joined([body.shifted(start).swept(move).owned(leg) for leg, (start, move) in enumerate(legs)])
        touching = np.array([mover in candidate.parts and not candidate.clamp for candidate in candidates], dtype=bool)
        close = touching[hulls.owner]
        for others, gap, found in (
            (hulls.take(~close), clear + 1e-6, pieces),
            (_eased(mover, hulls.take(close), candidates), HAIR, pieces),
            (under, clear + 1e-6, carriers),
        ):
            i, j = box_pairs(swept.boxes, others.boxes, clear)
            hit = near(swept, i, others, j, gap)
            for leg, owner in set(zip(swept.owner[i[hit]].tolist(), others.owner[j[hit]].tolist(), strict=True)):
                found[leg].add(owner)
    found_in = [(frozenset().union(*(pieces[k] for k in own)), frozenset().union(*(carriers[k] for k in own))) for own in of_way]
    return [Blocked(piece | carrier, carrier) for piece, carrier in found_in]


@dataclass(frozen=True)
class Blocked:
    """The candidates in a way, and those of them whose carriers are."""

    candidates: frozenset[int]
    carriers: frozenset[int]


def _legs(ways: Sequence[Way]) -> tuple[list[tuple[Array, Array]], list[list[int]]]:
    """Return the different straight moves of some ways, each with where it starts, and which of them each way makes."""
    known: dict[tuple[float, ...], int] = {}
    legs: list[tuple[Array, Array]] = []
    of_way = []
    for way in ways:
        own, start = [], np.zeros(3)
        for move in way.moves:
            number = known.setdefault((*start.tolist(), *move.tolist()), len(legs))
            if number == len(legs):
                legs.append((start, move))
            own.append(number)
            start = start + move
        of_way.append(own)
    return legs, of_way


def _eased(mover: int, hulls: Hulls, candidates: Sequence[Candidate]) -> Hulls:
    """Return touching candidates' bodies EASE away from the part they touch, as far as their pads let them."""
    shift, inside = np.zeros((len(hulls), 3)), np.zeros(len(hulls))
    for row, owner in enumerate(hulls.owner):
        for meeting in candidates[owner].meetings:
            if meeting.part == mover and meeting.face.startswith("cutout:"):
                inside[row] = 1.0
            elif meeting.part == mover and float(meeting.normal @ shift[row]) > -EASE / 2:
                shift[row] -= EASE * meeting.normal
    eased = hulls.shifted(shift)
    return eased.slimmer(inside * eased.play(EASE, ROUND_TOUCH)) if inside.any() else eased
