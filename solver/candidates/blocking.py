"""What a candidate keeps from happening: another candidate, a torch direction, a way in or out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.candidates.assembly import Assembly
from solver.candidates.placing import Candidate
from solver.geometry.faces import ROUND_TOUCH
from solver.geometry.hulls import Hulls, Index, box_pairs, joined, near
from solver.geometry.joints import Sample, torch_directions
from solver.rules import RuleBook

EASE = 0.06
HAIR = 0.02


@dataclass(frozen=True)
class TorchWays:
    """Torch directions that the parts and the table leave free at each sample.

    `sample` (n,) and `direction` (n, 3) run together; `capsules` holds two segments (torch, hand) for each, in order.
    """

    samples: tuple[Sample, ...]
    sample: Index
    direction: Array
    capsules: Hulls
    radii: Array


def torch_ways(assembly: Assembly) -> TorchWays:
    """Return all torch directions free of parts and table; samples without any are missing from `sample`."""
    rules = assembly.rules
    rows, ways = [], []
    for index, place in enumerate(assembly.samples):
        found = torch_directions(place, rules)
        rows.append(np.full(len(found), index, dtype=np.intp))
        ways.append(found)
    if not rows:
        return TorchWays((), np.zeros(0, np.intp), np.zeros((0, 3)), Hulls.of([], []), np.zeros(0))
    sample, direction = np.concatenate(rows), np.concatenate(ways)
    at = np.array([entry.at for entry in assembly.samples])[sample]
    capsules, radii = _capsules(at, direction, rules)
    low = capsules.points[:, 2].reshape(-1, 2).min(axis=1) - radii
    blocked = (low < 0).reshape(-1, 2).any(axis=1)
    parts = assembly.everything
    i, j = box_pairs(capsules.boxes, parts.boxes, radii)
    hit = near(capsules, i, parts, j, radii[i] + HAIR)
    blocked[np.unique(i[hit] // 2)] = True
    free = np.flatnonzero(~blocked)
    both = np.stack([2 * free, 2 * free + 1], axis=1).reshape(-1)
    return TorchWays(assembly.samples, sample[free], direction[free], capsules.take(both), radii[both])


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


@dataclass(frozen=True)
class Way:
    """A way out, as straight moves (3,) from the final place; reversed and backwards it is the way in."""

    name: str
    moves: tuple[Array, ...]


def way_options(rules: RuleBook) -> list[Way]:
    """Return the ways tried: straight up, and short slides in the four lattice directions before going up."""
    lift = np.array([0.0, 0.0, rules["way.lift"]])
    found = [Way("up", (lift,))]
    for name, direction in (("+x", (1, 0)), ("-x", (-1, 0)), ("+y", (0, 1)), ("-y", (0, -1))):
        for distance in (30.0, 75.0, 150.0):
            found.append(Way(f"{name} {distance:g}, up", (distance * np.array([*direction, 0.0]), lift)))
    return found


def way_blocks(
    movers: Sequence[int], way: Way, assembly: Assembly, candidates: Sequence[Candidate], hulls: Hulls, under: Hulls
) -> set[int]:
    """Return the candidates (`hulls`: clamps open; `under`: their carriers) that stand in the way of parts moving together.

    A piece that touches a part in its place may slide along it; its carriers keep their distance.
    """
    clear = assembly.rules["way.clear"]
    blocked: set[int] = set()
    for mover in movers:
        body = assembly.parts[mover].hulls
        touching = np.array([mover in candidate.parts and not candidate.clamp for candidate in candidates], dtype=bool)
        start = np.zeros(3)
        for move in way.moves:
            swept = body.shifted(start).swept(move)
            i, j = box_pairs(swept.boxes, hulls.boxes, clear)
            close = touching[hulls.owner[j]]
            hit = near(swept, i[~close], hulls, j[~close], clear + 1e-6)
            blocked.update(hulls.owner[j[~close]][hit].tolist())
            if close.any():
                blocked |= _run_into(mover, swept, i[close], hulls, j[close], candidates)
            i, j = box_pairs(swept.boxes, under.boxes, clear)
            blocked.update(under.owner[j[near(swept, i, under, j, clear + 1e-6)]].tolist())
            start = start + move
    return blocked


def _run_into(mover: int, swept: Hulls, i: Index, hulls: Hulls, j: Index, candidates: Sequence[Candidate]) -> set[int]:
    """Return the touching candidates that a part would run into while moving: taken EASE away from its pads first."""
    shift, inside = np.zeros((len(j), 3)), np.zeros(len(j))
    for row, owner in enumerate(hulls.owner[j]):
        for meeting in candidates[owner].meetings:
            if meeting.part == mover and meeting.face.startswith("cutout:"):
                inside[row] = 1.0
            elif meeting.part == mover and float(meeting.normal @ shift[row]) > -EASE / 2:
                shift[row] -= EASE * meeting.normal
    eased = hulls.take(j).shifted(shift)
    eased = eased.slimmer(inside * eased.play(EASE, ROUND_TOUCH))
    hit = near(swept, i, eased, np.arange(len(j)), HAIR)
    return set(hulls.owner[j[hit]].tolist())
