"""What stands where at one lattice position: every hole of every meeting, with its contacts, what it clears and what it blocks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely

from inventory.shapes import Array
from tests.oracle.boxes import depths, gaps, shifted
from tests.oracle.laying import Flat, Lying
from tests.oracle.meetings import NEAR, Meeting
from tests.oracle.stacks import Stack

Hole = tuple[int, int]
SKIN = 0.04
LEAST_AREA = 4.0
"""A pad covers at least this much of the wall at a hollow end, mm2."""


@dataclass(frozen=True)
class Contact:
    """A contact with a face; `patch` is the flat box they share, `normal` points into the part."""

    flat: Flat
    normal: Array
    patch: Array

    @property
    def part(self) -> int:
        """The part's number."""
        return self.flat.part


@dataclass
class Offer:
    """A stack at a hole (lattice steps from the position's first) and a setting."""

    stack: Stack
    hole: Hole
    setting: float | None
    base: Array
    contacts: tuple[Contact, ...]
    tip: Array
    shut: Array
    opened: Array
    both: Array
    pegs: frozenset[Hole]
    cents: float
    torches: Array = field(default_factory=lambda: np.zeros(0, bool))
    ways: Array = field(default_factory=lambda: np.zeros((0, 0), bool))


def offers_at(
    lying: Lying, found: Sequence[Meeting], phase: tuple[float, float], pitch: float, cents: dict[int, float]
) -> list[Offer]:
    """Return all offers of meetings at a lattice position: holes stand at phase + pitch x (whole steps)."""
    flats = [flat for part in lying.parts for flat in part.flats]
    faces = Faces(
        flats,
        np.array([flat.box for flat in flats]),
        np.array([flat.axis for flat in flats]),
        np.array([flat.sense for flat in flats]),
    )
    offers: dict[tuple[int, Hole, float | None], Offer] = {}
    start = np.array(phase)
    for meeting in found:
        first = np.ceil((meeting.low - NEAR - start) / pitch).astype(int)
        last = np.floor((meeting.high + NEAR - start) / pitch).astype(int)
        for i in range(first[0], last[0] + 1):
            for j in range(first[1], last[1] + 1):
                base = np.array([start[0] + pitch * i, start[1] + pitch * j, 0.0])
                setting = meeting.setting_at(base)
                if setting is None and meeting.stack.settings is not None:
                    continue
                key = (id(meeting.stack), (i, j), setting)
                if key not in offers:
                    offer = _offer(meeting.stack, faces, (i, j), setting, base, cents[id(meeting.stack)])
                    if offer is not None:
                        offers[key] = offer
    return clear(lying, list(offers.values()))


@dataclass(frozen=True)
class Faces:
    """All faces as arrays."""

    flats: list[Flat]
    boxes: Array
    axis: Array
    sense: Array


def _offer(stack: Stack, faces: Faces, hole: Hole, setting: float | None, base: Array, cents: float) -> Offer | None:
    contacts = []
    shift = base + (stack.path * setting if setting is not None else 0.0)
    tip = base
    for pad in stack.pads:
        box = shifted(pad.box[None], shift if pad.moves else base)[0]
        tip = (box[:3] + box[3:]) / 2
        low, high = np.maximum(box[:3], faces.boxes[:, :3]), np.minimum(box[3:], faces.boxes[:, 3:])
        size = high - low
        rows = np.arange(len(faces.flats))
        near = (faces.axis == pad.axis) & (faces.sense == -pad.sense) & (np.abs(size[rows, faces.axis]) <= NEAR)
        size[rows, faces.axis] = np.inf
        for k in np.flatnonzero(near & (size.min(axis=1) > 0.4)):
            flat = faces.flats[k]
            patch = np.concatenate([low[k], high[k]])
            patch[[pad.axis, pad.axis + 3]] = flat.plane
            if flat.hollow is not None:
                patch = _on_wall(patch, flat.hollow, pad.axis)
                if _area(patch, pad.axis) < LEAST_AREA or (stack.clamps and not _within(tip, patch, pad.axis)):
                    continue
            normal = np.zeros(3)
            normal[pad.axis] = pad.sense
            contacts.append(Contact(flat, normal, patch))
    parts = [contact.part for contact in contacts]
    if not contacts or (stack.clamps and len(contacts) > 1) or len(set(parts)) < len(parts) < 2:
        return None
    shut, opened = shifted(stack.shut(setting or 0.0), base), shifted(stack.opened, base)
    pegs = frozenset((hole[0] + i, hole[1] + j) for i, j in stack.holes)
    return Offer(
        stack,
        hole,
        setting,
        base,
        tuple(contacts),
        tip,
        shut,
        opened,
        np.concatenate([shut, opened]) if stack.clamps else shut,
        pegs,
        cents,
    )


def _area(box: Array, axis: int) -> float:
    return float(np.prod(np.delete(box[3:] - box[:3], axis)))


def _within(point: Array, box: Array, axis: int) -> bool:
    inside = (point >= box[:3] - 1e-6) & (point <= box[3:] + 1e-6)
    inside[axis] = True
    return bool(inside.all())


def _on_wall(patch: Array, hollow: Array, axis: int) -> Array:
    """Return the flat box around what a patch covers of the wall round a hollow; of no size if it covers none."""
    a, b = (k for k in range(3) if k != axis)
    wall = shapely.box(patch[a], patch[b], patch[a + 3], patch[b + 3]) - shapely.box(
        hollow[a], hollow[b], hollow[a + 3], hollow[b + 3]
    )
    found = patch.copy()
    found[[a, b, a + 3, b + 3]] = wall.bounds if not wall.is_empty else (patch[a], patch[b], patch[a], patch[b])
    return found


def clear(lying: Lying, offers: list[Offer]) -> list[Offer]:
    """Return the offers that keep clear of parts they do not touch, run into none, and stay away from the welds."""
    if not offers:
        return []
    rules = lying.request.rules
    owner = np.concatenate([np.full(len(offer.both), k) for k, offer in enumerate(offers)])
    boxes = np.concatenate([offer.both for offer in offers])
    touched = np.zeros((len(offers), len(lying.parts)), bool)
    for k, offer in enumerate(offers):
        touched[k, [contact.part for contact in offer.contacts]] = True
    near = gaps(boxes, lying.boxes) < rules["clear.body"]
    deep = depths(boxes, lying.boxes) > SKIN
    bad = np.where(touched[owner], deep, near).any(axis=1)
    wrong = np.zeros(len(offers), bool)
    np.logical_or.at(wrong, owner, bad)
    beads = [np.concatenate([np.minimum(a, b), np.maximum(a, b)]) for path in lying.beads for a, b in pairwise(path)]
    if beads:
        owner = np.concatenate([np.full(len(offer.shut), k) for k, offer in enumerate(offers)])
        away = gaps(np.concatenate([offer.shut for offer in offers]), np.array(beads)).min(axis=1)
        limit = np.array([rules["clear.weld"] if offer.stack.clamps else rules["clear.weld_locator"] for offer in offers])
        np.logical_or.at(wrong, owner, away < limit[owner])
    return [offer for offer, fault in zip(offers, wrong, strict=True) if not fault]
