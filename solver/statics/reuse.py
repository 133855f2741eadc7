"""Cuts from twists found elsewhere: on a like part, in another pose, in an earlier request.

Every twist gives a valid cut on every set of candidates (see `cuts`); a certificate's twist is only a twist known to be
worth asking about. Measured on four-part assemblies of like lugs: asking each certificate's twist of the like parts too
halved the rounds of cuts (42 to 19); carrying twists to a shifted pose saved between a third and five sixths of them.
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from inventory.shapes import Array
from solver.statics.contacts import ContactSystem
from solver.statics.cuts import ROUND_OFF, Cut
from solver.statics.loads import LoadCases
from solver.statics.power import demand, support_power


def cut_of_twist(twist: Array, candidates: ContactSystem, cases: LoadCases, count: int) -> Cut | None:
    """Return the cut any twist gives, for the load case that demands most; None if it asks for nothing.

    Only help counts (clamps that hinder have coefficient 0), so the cut needs no failed choice to come from.

    Parameters
    ----------
    twist : (P, 6)
        Velocity of each part's centre of gravity, mm/s, and angular velocity, rad/s.
    candidates : Assembly
        Contacts and clamps of all candidates (owner 0..count-1) and those always there.
    cases : LoadCases
    count : int
        Number of candidates.
    """
    power = support_power(twist, candidates)
    right = float(demand(twist, candidates.bodies, cases).max()) - power.always
    if right <= ROUND_OFF * abs(power.always) + 1e-6:
        return None
    most = np.zeros(count)
    np.add.at(most, power.contact_owner, power.contact)
    np.add.at(most, power.clamp_owner, power.clamp)
    return Cut(np.clip(most, 0.0, right), right - ROUND_OFF * right, ())


def moving_alone(twist: Array) -> int | None:
    """Return the only part that moves, or None if several do."""
    moving = np.flatnonzero(np.abs(twist).max(axis=1) > 0)
    return int(moving[0]) if len(moving) == 1 else None


def on_like_parts(twist: Array, like: Collection[int]) -> list[Array]:
    """Return the twist of a part that moves alone, given to each of the parts like it (same section, length and lie)."""
    part = moving_alone(twist)
    if part is None:
        return []
    others = []
    for other in sorted(set(like) - {part}):
        moved = np.zeros_like(twist)
        moved[other] = twist[part]
        others.append(moved)
    return others


def turned(twist: Array, rotation: Array) -> Array:
    """Return the twist of a weldment turned by a rotation (3, 3), for use in another pose."""
    return np.concatenate([twist[:, :3] @ rotation.T, twist[:, 3:] @ rotation.T], axis=1)
