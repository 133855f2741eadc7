"""Virtual power: how much a twist of the parts demands of the contacts, and the most that each could give.

A twist is (P, 6): velocity of each part's centre of gravity (mm/s) and angular velocity (rad/s); powers are in N mm/s.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.statics.contacts import GROUND, UNCAPPED, ContactSystem, Index, Mask, PartWeights, cross
from solver.statics.loads import CaseName, LoadCases

CONTACT_LIMIT_N = 1e5
"""No single patch corner of a hand-set fixture carries ten tonnes; bounds the uncapped cones in a certificate."""


@dataclass(frozen=True, slots=True)
class Certificate:
    """A twist that proves a load case is not held: contacts and clamps can give `available_n`, the loads need `needed_n`."""

    twist: Array
    needed_n: float
    available_n: float
    case: CaseName


@dataclass(frozen=True, slots=True)
class SupportPower:
    """The most power each source can have: `contact` per locator candidate and `clamp` per clamp, `always` the rest.

    `contact_owner`, `clamp_owner` say whose they are.
    """

    contact_owner: Index
    contact: Array
    clamp_owner: Index
    clamp: Array
    always: float

    @property
    def total(self) -> float:
        """The most power of everything together."""
        return float(self.contact.sum() + self.clamp.sum() + self.always)


def demand(twist: Array, part_weights: PartWeights, cases: LoadCases) -> Array:
    """Return -y.w for every load case, (N,): the power that contacts and clamps must have in balance.

    A free force at a tack's root could have any power unless both parts move alike there; its case then demands
    nothing (up to `CONTACT_LIMIT_N` times the difference, which is numerical noise for a certificate of that case).
    """
    needed = np.full(len(cases), float(part_weights.weights_n @ twist[:, 2]))
    moving = _moving(twist)
    for k in range(2):
        on = np.flatnonzero(moving[cases.part[:, k]])
        velocity = _velocity(twist, part_weights, cases.part[on, k], cases.at[on, k])
        needed[on] -= np.einsum("ij,ij->i", velocity, cases.force[on, k])
    free = np.flatnonzero(~np.isnan(cases.root[:, 0]) & moving[cases.part].any(axis=1))
    if len(free):
        first, second = (_velocity(twist, part_weights, cases.part[free, k], cases.root[free]) for k in range(2))
        needed[free] -= CONTACT_LIMIT_N * np.abs(first - second).sum(axis=1)
    return needed


def support_power(twist: Array, contact_system: ContactSystem) -> SupportPower:
    """Return the most power that every candidate's contacts and clamps, and those always there, can have under a twist.

    Locators cannot have less than none (they need not push); a clamp pushes whether it helps or not, so its figure may
    be negative.
    """
    contacts, clamps = contact_system.contacts, contact_system.clamps
    moving = _moving(twist)
    pushed = np.flatnonzero(moving[contacts.part] | moving[contacts.other])
    owner, power = _contact_power(twist, contact_system, pushed)
    pressed = np.flatnonzero(moving[clamps.part])
    clamp_owner, clamp = clamps.owner[pressed], _clamp_power(twist, contact_system, pressed)
    always = float(power[owner < 0].sum() + clamp[clamp_owner < 0].sum())
    return SupportPower(owner[owner >= 0], power[owner >= 0], clamp_owner[clamp_owner >= 0], clamp[clamp_owner >= 0], always)


def _contact_power(twist: Array, contact_system: ContactSystem, some: Index) -> tuple[Index, Array]:
    """Return owners and powers of some contacts, whole groups of them: one per capped group and one per uncapped point."""
    contacts, part_weights = contact_system.contacts, contact_system.part_weights
    other, at, group, owner = contacts.other[some], contacts.at[some], contacts.group[some], contacts.owner[some]
    velocity = _velocity(twist, part_weights, contacts.part[some], at)
    between = np.flatnonzero(other != GROUND)
    velocity[between] -= _velocity(twist, part_weights, other[between], at[between])
    along = np.einsum("ij,ij->i", velocity, contacts.normal[some])
    rub = np.einsum("ij,ikj->ik", velocity, contact_system.rubbing[some]).max(axis=1, initial=0.0)
    best = np.maximum(0.0, along + contact_system.friction * rub)
    capped = group != UNCAPPED
    groups, first, inverse = np.unique(group[capped], return_index=True, return_inverse=True)
    of_group = np.zeros(len(groups))
    np.maximum.at(of_group, inverse, best[capped])
    whose = np.concatenate([owner[~capped], owner[capped][first]])
    return whose, np.concatenate([CONTACT_LIMIT_N * best[~capped], contacts.caps_n[groups] * of_group])


def _clamp_power(twist: Array, contact_system: ContactSystem, some: Index) -> Array:
    clamps = contact_system.clamps
    velocity = _velocity(twist, contact_system.part_weights, clamps.part[some], clamps.at[some])
    along = np.einsum("ij,ij->i", velocity, clamps.direction[some])
    rub = np.einsum("ij,ikj->ik", velocity, contact_system.tips_rubbing[some]).max(axis=1, initial=0.0)
    power: Array = clamps.force_n[some] * (along + contact_system.friction * rub)
    return power


def _moving(twist: Array) -> Mask:
    """Return which parts move, and that ground, the last, does not: index -1 of a part is ground, or no part."""
    return np.append(twist.any(axis=1), False)


def _velocity(twist: Array, part_weights: PartWeights, part: Index, at: Array) -> Array:
    return twist[part, :3] + cross(twist[part, 3:], at - part_weights.centres[part])
