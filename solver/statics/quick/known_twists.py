"""Which of many known twists undo a choice: for one choice and all twists at once, where cuts take one twist and all candidates.

A twist undoes a choice if some load demands more power under it than the choice's contacts and clamps could have, those that
hinder left out (see `cuts`): the choice is not held, and the twist's cut says so of every other.
"""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.statics.contacts import GROUND, UNCAPPED, ContactSystem, Index, PartWeights, cross
from solver.statics.loads import LoadCases
from solver.statics.power import CONTACT_LIMIT_N

SHORT = 1e-6
"""Less than demanded by this share, or by so many N mm/s, is enough: a cut rounds as much."""


def demands(twists: Array, part_weights: PartWeights, cases: LoadCases) -> Array:
    """Return for twists (t, P, 6) the most power that any load demands, (t,); see `power.demand`."""
    needed = np.repeat(twists[:, :, 2] @ part_weights.weights_n, len(cases)).reshape(len(twists), len(cases))
    for k in range(2):
        on = np.flatnonzero(cases.part[:, k] >= 0)
        velocity = _velocities(twists, part_weights, cases.part[on, k], cases.at[on, k])
        needed[:, on] -= np.einsum("tij,ij->ti", velocity, cases.force[on, k])
    free = np.flatnonzero(~np.isnan(cases.root[:, 0]))
    if len(free):
        first, second = (_velocities(twists, part_weights, cases.part[free, k], cases.root[free]) for k in range(2))
        needed[:, free] -= CONTACT_LIMIT_N * np.abs(first - second).sum(axis=2)
    most: Array = needed.max(axis=1, initial=-np.inf)
    return most


def undoing(twists: Array, demanded: Array, chosen: ContactSystem) -> Index:
    """Return which twists (t, P, 6) undo a choice, given what loads demand (t,) and the choice's contacts and clamps."""
    power = _from_contacts(twists, chosen) + _from_clamps(twists, chosen)
    return np.flatnonzero(power < demanded - SHORT * (1.0 + np.abs(demanded)))


def _from_contacts(twists: Array, chosen: ContactSystem) -> Array:
    contacts, part_weights = chosen.contacts, chosen.part_weights
    velocity = _velocities(twists, part_weights, contacts.part, contacts.at)
    between = np.flatnonzero(contacts.other != GROUND)
    velocity[:, between] -= _velocities(twists, part_weights, contacts.other[between], contacts.at[between])
    along = np.einsum("tij,ij->ti", velocity, contacts.normal)
    rub = np.einsum("tij,ikj->tik", velocity, chosen.rubbing).max(axis=2, initial=0.0)
    best = np.maximum(0.0, along + chosen.friction * rub)
    capped = contacts.group != UNCAPPED
    power = CONTACT_LIMIT_N * best[:, ~capped].sum(axis=1)
    groups, inverse = np.unique(contacts.group[capped], return_inverse=True)
    of_group = np.zeros((len(groups), len(twists)))
    np.maximum.at(of_group, inverse, best[:, capped].T)
    total: Array = power + contacts.caps_n[groups] @ of_group
    return total


def _from_clamps(twists: Array, chosen: ContactSystem) -> Array:
    clamps = chosen.clamps
    velocity = _velocities(twists, chosen.part_weights, clamps.part, clamps.at)
    along = np.einsum("tij,ij->ti", velocity, clamps.direction)
    rub = np.einsum("tij,ikj->tik", velocity, chosen.tips_rubbing).max(axis=2, initial=0.0)
    owners, inverse = np.unique(clamps.owner, return_inverse=True)
    of_owner = np.zeros((len(owners), len(twists)))
    np.add.at(of_owner, inverse, (clamps.force_n * (along + chosen.friction * rub)).T)
    total: Array = np.maximum(of_owner, 0.0).sum(axis=0)
    return total


def _velocities(twists: Array, part_weights: PartWeights, part: Index, at: Array) -> Array:
    found: Array = twists[:, part, :3] + cross(twists[:, part, 3:], (at - part_weights.centres[part])[None])
    return found
