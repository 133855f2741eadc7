"""The balance of every part as one sparse system: generators of contact forces against known loads.

Rows: six a part (force, N; moment about the centre of gravity divided by the part's `arm`, N), then one per capped
locator, then one per clamp. Columns: `CONE_SIDES` per contact point (a force n + friction t_j of unit normal part),
`CONE_SIDES` per clamp (1 N of friction along t_j at the tip). With x >= 0 the forces, ::

    wrenches x + known + loads = 0        (every part is in balance)
    limits x <= limit_n                   (capped locators, friction at clamp tips)
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse

from inventory.shapes import Array
from solver.statics.contacts import CONE_SIDES, GROUND, UNCAPPED, ContactSystem, Index, cross
from solver.statics.loads import NO_PART, LoadCases


@dataclass(frozen=True)
class Balance:
    """The system of the module's docstring; `arm` (P,) mm scales each part's moments.

    `equations` (m, columns + limits) are both kinds of rows, the limits' with a slack each: the last columns.
    """

    equations: sparse.csr_array
    limit_n: Array
    known: Array
    gravity: Array
    arm: Array
    centres: Array

    @cached_property
    def wrenches(self) -> sparse.csc_array:
        """The rows of balance over the forces."""
        return sparse.csc_array(self.equations[: self.rows, : self.forces])

    @cached_property
    def limits(self) -> sparse.csc_array:
        """The rows of limits over the forces."""
        return sparse.csc_array(self.equations[self.rows :, : self.forces])

    @property
    def forces(self) -> int:
        """How many force columns there are."""
        return int(self.equations.shape[1]) - len(self.limit_n)

    @property
    def rows(self) -> int:
        """Six rows a part."""
        return len(self.known)

    @property
    def twist_scale(self) -> Array:
        """What the duals of a part's six rows are divided by to give its velocity and angular velocity, (P, 6)."""
        return np.repeat(np.stack([np.ones_like(self.arm), self.arm], axis=1), 3, axis=1)

    @property
    def still(self) -> Array:
        """What forces and slacks of `equations` must come to under gravity and clamps alone, (m,) N."""
        return np.concatenate([-(self.known + self.gravity), self.limit_n])

    def load_rows(self, cases: LoadCases) -> tuple[Index, Array]:
        """Return the rows that each case loads besides gravity, (N, 12) int, and the loads in them, (N, 12) N."""
        part = np.where(cases.part == NO_PART, 0, cases.part)
        force = np.where((cases.part == NO_PART)[..., None], 0.0, cases.force)
        moment = cross(cases.at - self.centres[part], force) / self.arm[part][..., None]
        index = 6 * part[..., None] + np.arange(6)
        return index.reshape(len(cases), 12), np.concatenate([force, moment], axis=2).reshape(len(cases), 12)

    def loads(self, index: Index, values: Array) -> Array:
        """Return gravity plus the loads of cases given by `load_rows`, dense, (N, rows)."""
        dense = np.tile(self.gravity, (len(index), 1))
        np.add.at(dense, (np.arange(len(index))[:, None], index), values)
        return dense


def balance(contact_system: ContactSystem) -> Balance:
    """Return the balance of a contact system."""
    part_weights, contacts, clamps = contact_system.part_weights, contact_system.contacts, contact_system.clamps
    centres, parts = part_weights.centres, len(part_weights)
    arm = _arms(contact_system)
    cone = contacts.normal[:, None, :] + contact_system.friction * contact_system.rubbing
    tips = contact_system.tips_rubbing if contact_system.friction != 0 else contact_system.tips_rubbing[:0]
    part = np.concatenate([contacts.part, clamps.part[: len(tips)]])
    at = np.concatenate([contacts.at, clamps.at[: len(tips)]])
    force = np.concatenate([cone, tips])
    entries = [_entries(np.arange(len(part)), part, at, force, centres, arm)]
    against = np.flatnonzero(contacts.other != GROUND)
    entries.append(_entries(against, contacts.other[against], contacts.at[against], -cone[against], centres, arm))
    limit, limit_n = _limits(contact_system, len(tips))
    entries += _limit_entries(limit, len(limit_n), 6 * parts, CONE_SIDES * len(part))
    rows, columns, data = (np.concatenate([entry[k] for entry in entries]) for k in range(3))
    keep = data != 0.0
    shape = (6 * parts + len(limit_n), CONE_SIDES * len(part) + len(limit_n))
    equations = sparse.csr_array((data[keep], (rows[keep], columns[keep])), shape=shape)
    known = np.zeros((parts, 6))
    press = clamps.force_n[:, None] * clamps.direction
    np.add.at(known, clamps.part, _wrench(clamps.at - centres[clamps.part], press, arm[clamps.part]))
    gravity = np.zeros((parts, 6))
    gravity[:, 2] = -part_weights.weights_n
    return Balance(equations, limit_n, known.ravel(), gravity.ravel(), arm, centres)


def _arms(contact_system: ContactSystem) -> Array:
    """Return each part's farthest contact or clamp from its centre of gravity, at least 1 mm."""
    arm = np.ones(len(contact_system.part_weights))
    contacts, clamps, centres = contact_system.contacts, contact_system.clamps, contact_system.part_weights.centres
    for part, at in ((contacts.part, contacts.at), (contacts.other, contacts.at), (clamps.part, clamps.at)):
        on = part != GROUND
        np.maximum.at(arm, part[on], np.linalg.norm(at[on] - centres[part[on]], axis=1))
    return arm


def _wrench(lever: Array, force: Array, arm: Array) -> Array:
    return np.concatenate([force, cross(lever, force) / np.expand_dims(arm, -1)], axis=-1)


def _entries(point: Index, part: Index, at: Array, force: Array, centres: Array, arm: Array) -> tuple[Index, Index, Array]:
    """Return (rows, columns, values) of `CONE_SIDES` forces at each point, (K, 8, 3), on `part`."""
    lever = np.broadcast_to((at - centres[part])[:, None, :], force.shape)
    wrench = _wrench(lever, force, np.broadcast_to(arm[part][:, None], force.shape[:2]))
    rows = np.broadcast_to(6 * part[:, None, None] + np.arange(6), wrench.shape)
    columns = np.broadcast_to((CONE_SIDES * point[:, None] + np.arange(CONE_SIDES))[..., None], wrench.shape)
    return rows.ravel(), columns.ravel(), wrench.ravel()


def _limits(contact_system: ContactSystem, tips: int) -> tuple[tuple[Index, Index], Array]:
    """Return (point, row) of every point that a limit bounds, capped locators' first, then clamp tips', and the limits."""
    contacts, clamps = contact_system.contacts, contact_system.clamps
    capped = np.flatnonzero(contacts.group != UNCAPPED)
    groups, row = np.unique(contacts.group[capped], return_inverse=True)
    point = np.concatenate([capped, len(contacts) + np.arange(tips)])
    limit_n = np.concatenate([contacts.caps_n[groups], contact_system.friction * clamps.force_n[:tips]])
    return (point, np.concatenate([row, len(groups) + np.arange(tips)])), limit_n


def _limit_entries(limit: tuple[Index, Index], limits: int, above: int, forces: int) -> list[tuple[Index, Index, Array]]:
    """Return the rows of the limits, below `above` others: the points' forces, and a slack each behind all `forces`."""
    point, row = limit
    columns = (CONE_SIDES * point[:, None] + np.arange(CONE_SIDES)).ravel()
    slack = np.arange(limits)
    return [
        (above + np.repeat(row, CONE_SIDES), columns, np.ones(len(columns))),
        (above + slack, forces + slack, np.ones(limits)),
    ]
