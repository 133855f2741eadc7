"""Where the torch can come from: directions that parts and table leave free, and the candidates that shut them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.hulls import Flags, Hulls, Index
from solver.geometry.joints import Sample, torch_directions
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import RUNS_INTO
from solver.laying.laid_weldment import LaidWeldment
from solver.ledgers.content import content_of
from solver.rule_book.book import RuleBook


@dataclass(frozen=True)
class TorchDirections:
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

    @cached_property
    def content(self) -> bytes:
        """What stands for the directions that are free, whatever the welds are called."""
        return content_of(len(self.samples), self.sample, self.capsules.points, self.radii)


def free_torch_directions(laid: LaidWeldment) -> TorchDirections:
    """Return all torch directions free of parts and table; samples without any are missing from `sample`."""
    rules = laid.rules
    rows, directions = [], []
    for index, place in enumerate(laid.samples):
        found = torch_directions(place, rules)
        rows.append(np.full(len(found), index, dtype=np.intp))
        directions.append(found)
    if not rows:
        return TorchDirections((), np.zeros(0, np.intp), np.zeros((0, 3)), Hulls.of([], []), np.zeros(0), 0.0)
    sample, direction = np.concatenate(rows), np.concatenate(directions)
    at = np.array([entry.at for entry in laid.samples])[sample]
    capsules, radii = _capsules(at, direction, rules)
    lowest = (capsules.points[:, 2].reshape(-1, 2).min(axis=1) - radii).reshape(-1, 2).min(axis=1)
    lacking = np.maximum(0.0, -lowest)
    parts = laid.hulls
    i, j = box_pairs(capsules.boxes, parts.boxes, radii)
    hit = near(capsules, i, parts, j, radii[i] + RUNS_INTO)
    lacking[np.unique(i[hit] // 2)] = np.inf
    free = np.flatnonzero(lacking == 0.0)
    by_sample = np.full(len(laid.samples), np.inf)
    np.minimum.at(by_sample, sample, lacking)
    both = np.stack([2 * free, 2 * free + 1], axis=1).reshape(-1)
    return TorchDirections(laid.samples, sample[free], direction[free], capsules.take(both), radii[both], float(by_sample.max()))


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


def torch_blocks(torch: TorchDirections, hulls: Hulls) -> set[tuple[int, int]]:
    """Return (direction, candidate) pairs: with this candidate standing, that torch direction is shut."""
    i, j = box_pairs(torch.capsules.boxes, hulls.boxes, torch.radii)
    shut = torch_shut(torch, hulls, i, j, int(hulls.owner.max(initial=-1)) + 1)
    return set(zip(*(side.tolist() for side in np.nonzero(shut)), strict=True))


def torch_shut(torch: TorchDirections, hulls: Hulls, i: Index, j: Index, candidates: int) -> Flags:
    """Return which candidates shut which directions, (directions, candidates), of pairs of capsules `i` and hulls `j`.

    Boxes are looked at first: a direction that one of a candidate's shuts need not be asked about its other bodies.
    """
    shut = np.zeros((len(torch.sample), candidates), dtype=bool)
    boxes = hulls.box_shaped[j]
    for some in (boxes, ~boxes):
        rows = np.flatnonzero(some)
        look()
        rows = rows[~shut[i[rows] // 2, hulls.owner[j[rows]]]]
        hit = rows[near(torch.capsules, i[rows], hulls, j[rows], torch.radii[i[rows]] + RUNS_INTO)]
        shut[i[hit] // 2, hulls.owner[j[hit]]] = True
    return shut
