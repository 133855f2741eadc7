"""Loading: does what is already in stay put by gravity and the clamps already shut, or must a hand hold it?

Gravity alone is too kind a test: a round bar on a flat table and a plate on its edge are both in balance. So every part
must also stand a lean, a level pull at its centre of gravity of `LEAN_SHARE` of its weight (as if the table were tilted
by 6 degrees; less where friction is very low) - common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.statics.contacts import GROUND, ContactSystem, Mask, PartWeights
from solver.statics.holding import is_held
from solver.statics.loads import NO_PART, CaseName, LoadCases

LEAN_SHARE = 0.1
LEAN_OF_FRICTION = 0.9


@dataclass(frozen=True, slots=True)
class LoadingStep:
    """One part goes in, then the clamps of these owners close; None for an outer body, which no contact holds."""

    part: int | None
    closes: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class LoadingVerdict:
    """Whether everything in stays put once `part` is in: with its clamps still open, and with them shut.

    `by_hand` says that a hand must hold until the step's clamps are shut.
    """

    part: int | None
    stable_open: bool
    stable_shut: bool

    @property
    def by_hand(self) -> bool:
        """Whether the sheet says "hold by hand"."""
        return not self.stable_open


def loading_verdicts(contact_system: ContactSystem, order: Sequence[LoadingStep]) -> tuple[LoadingVerdict, ...]:
    """Return the verdict after every load step; `contact_system` is the finished fixture with all parts and clamps."""
    verdicts = []
    inside: list[int] = []
    shut: set[int] = set()
    for step in order:
        inside += [] if step.part is None else [step.part]
        stable_open = stable_by_gravity(contact_system, inside, shut)
        shut |= set(step.closes)
        stable_shut = stable_by_gravity(contact_system, inside, shut) if step.closes else stable_open
        verdicts.append(LoadingVerdict(step.part, stable_open, stable_shut))
    return tuple(verdicts)


def stable_by_gravity(contact_system: ContactSystem, inside: Collection[int], shut: Collection[int] = ()) -> bool:
    """Return whether the parts inside stay put by gravity, a small lean, and the clamps of the owners in `shut`."""
    part_in = np.zeros(len(contact_system.part_weights) + 1, dtype=bool)
    part_in[list(inside)] = True
    present = part_in[contact_system.contacts.part] & (
        (contact_system.contacts.other == GROUND) | part_in[contact_system.contacts.other]
    )
    pressing = part_in[contact_system.clamps.part] & np.isin(contact_system.clamps.owner, list(shut))
    return is_held(_only(contact_system, part_in[:-1], present, pressing), _leans(contact_system, part_in[:-1]))


def _only(contact_system: ContactSystem, part_in: Mask, present: Mask, pressing: Mask) -> ContactSystem:
    """Return the contact system of some parts, renumbered."""
    number = np.append(np.cumsum(part_in) - 1, GROUND)
    contacts, clamps = contact_system.contacts.where(present), contact_system.clamps.where(pressing)
    contacts.part[:], contacts.other[:], clamps.part[:] = number[contacts.part], number[contacts.other], number[clamps.part]
    part_weights = PartWeights(contact_system.part_weights.centres[part_in], contact_system.part_weights.weights_n[part_in])
    return ContactSystem(part_weights, contacts, clamps, contact_system.friction)


def _leans(contact_system: ContactSystem, part_in: Mask) -> LoadCases:
    """Return gravity alone and every part pulled level in eight directions at its centre of gravity."""
    centres, weights = contact_system.part_weights.centres[part_in], contact_system.part_weights.weights_n[part_in]
    angles = np.arange(8) * np.pi / 4
    level = np.stack([np.cos(angles), np.sin(angles), np.zeros(8)], axis=1)
    share = min(LEAN_SHARE, LEAN_OF_FRICTION * contact_system.friction)
    count = 1 + 8 * len(weights)
    part = np.full((count, 2), NO_PART)
    at, force = np.zeros((count, 2, 3)), np.zeros((count, 2, 3))
    part[1:, 0] = np.repeat(np.arange(len(weights)), 8)
    at[1:, 0] = np.repeat(centres, 8, axis=0)
    pull: Array = share * weights[:, None, None] * level
    force[1:, 0] = pull.reshape(-1, 3)
    names = (CaseName("gravity"),) * count
    return LoadCases(names, part, at, force, np.full((count, 3), np.nan))
