"""Cuts for the integer model: what a certificate demands of any choice of candidates.

For a twist y and a load w, every held choice x has ::

    sum_i h_i(y) x_i  >=  -y.w - h_always(y)

because balance makes the contacts' power equal -y.w and no candidate can have more than its h_i (see `power`). A clamp that
hinders may as well be any other that hinders as much: z, 1 if one of them stands, takes the place of the worst one chosen.

Every twist gives a valid cut on every set of candidates, whether it comes from this choice, from a like part, from another
lattice position or from an earlier request: a certificate's twist is only a twist known to be worth asking about. On frames
of four like lugs, asking each certificate's twist of the like parts too halved the rounds of cuts, and carrying twists to a
shifted lattice position saved between a third and five sixths of them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array
from solver.statics.contacts import ContactSystem
from solver.statics.loads import LoadCases
from solver.statics.power import Certificate, SupportPower, demand, support_power

SCALES = (1e3, 1e4, 1e5, 1e6)
ACTIVITY_MAX = 2.0**30
ROUND_OFF = 1e-9
NOISE = 1e-7
"""A candidate that could give less than this share of what is demanded counts as giving nothing."""


@dataclass(frozen=True, slots=True)
class IntegerCut:
    """sum of coefficients[i] x_i >= right_side, in whole numbers; weaker than the exact cut, never stronger.

    `worst` and `like` as in `Cut`.
    """

    coefficients: NDArray[np.int64]
    right_side: int
    worst: int | None = None
    like: tuple[int, ...] = ()

    def allows(self, owners: Iterable[int]) -> bool:
        """Return whether a choice of candidates satisfies the cut."""
        return bool(self.coefficients[_counting(owners, self.worst, self.like)].sum() >= self.right_side)


@dataclass(frozen=True, slots=True)
class Cut:
    """sum of coefficients[i] x_i >= right_side over candidates 0..n-1, in N mm/s of a certificate's twist.

    `chosen` are the candidates whose failure gave the cut; it always cuts them off. `worst` is the one of them that hinders
    most, `like` the others that hinder as much: any one of these counts as if it were `worst`, all of them once.
    """

    coefficients: Array
    right_side: float
    chosen: tuple[int, ...]
    worst: int | None = None
    like: tuple[int, ...] = ()

    def allows(self, owners: Iterable[int]) -> bool:
        """Return whether a choice of candidates satisfies the cut."""
        return bool(self.coefficients[_counting(owners, self.worst, self.like)].sum() >= self.right_side)

    def integer(self) -> IntegerCut | None:
        """Return the cut with coefficients rounded up and the right side down, at the smallest scale that keeps it cutting.

        None if no scale with activity below 2^30 still cuts off the choice it came from (its violation is then at most
        about a millionth of the right side).
        """
        size = max(float(np.abs(self.coefficients).max(initial=0.0)), abs(self.right_side))
        for target in SCALES:
            scale = target / size
            if scale * float(np.abs(self.coefficients).sum()) > ACTIVITY_MAX:
                return None
            whole = np.ceil(self.coefficients * scale * (1 - np.sign(self.coefficients) * -ROUND_OFF)).astype(np.int64)
            right = int(np.floor(self.right_side * scale - abs(self.right_side) * scale * ROUND_OFF))
            if whole[list(self.chosen)].sum() < right:
                return IntegerCut(whole, right, self.worst, self.like)
        return None


def cut_coefficients(certificate: Certificate, candidates: ContactSystem, count: int, chosen: Iterable[int]) -> Cut | None:
    """Return the cut a certificate gives over all candidates; None if rounding leaves nothing of it.

    Parameters
    ----------
    certificate : Certificate
        From `holding_verdict` on the chosen candidates.
    candidates : ContactSystem
        Contacts and clamps of all candidates (owner 0..count-1) and those always there.
    count : int
        Number of candidates.
    chosen : iterable of int
        The choice that failed. Clamps among them that make things worse keep their negative coefficient; all other
        negative coefficients are raised to 0 (still valid), so that positive ones can be clipped at what is missing.
    """
    picked = tuple(sorted({int(owner) for owner in chosen}))
    power = support_power(certificate.twist, candidates)
    most, right = _without_noise(power, certificate.needed_n - power.always, count)
    hindering = np.minimum(most, 0.0)
    mine = np.zeros(count, dtype=bool)
    mine[list(picked)] = True
    most[~mine] = np.maximum(most[~mine], 0.0)
    missing = right - float(np.minimum(most, 0.0).sum())
    if missing <= 0:
        return None
    worst = min(picked, key=lambda index: hindering[index], default=None)
    like: tuple[int, ...] = ()
    if worst is None or hindering[worst] >= 0:
        worst = None
    else:
        like = tuple(np.flatnonzero((hindering <= hindering[worst]) & ~mine).tolist())
    cut = Cut(np.minimum(most, missing), right - ROUND_OFF * missing, picked, worst, like)
    return None if cut.allows(picked) else cut


def cut_of_twist(twist: Array, candidates: ContactSystem, cases: LoadCases, count: int) -> Cut | None:
    """Return the cut any twist gives, for the load case that demands most; None if it asks for nothing.

    Only help counts (clamps that hinder have coefficient 0), so the cut needs no failed choice to come from.

    Parameters
    ----------
    twist : (P, 6)
        Velocity of each part's centre of gravity, mm/s, and angular velocity, rad/s.
    candidates : ContactSystem
        Contacts and clamps of all candidates (owner 0..count-1) and those always there.
    cases : LoadCases
    count : int
        Number of candidates.
    """
    power = support_power(twist, candidates)
    right = float(demand(twist, candidates.part_weights, cases).max()) - power.always
    if right <= ROUND_OFF * abs(power.always) + 1e-6:
        return None
    most, right = _without_noise(power, right, count)
    return Cut(np.clip(most, 0.0, right), right - ROUND_OFF * right, ())


def _without_noise(power: SupportPower, right: float, count: int) -> tuple[Array, float]:
    """Return each candidate's power, (count,), and what is demanded of all, without powers that are next to nothing.

    What round-off leaves of no power would else be rounded up to a whole number. The cut stays valid: what is left out
    is taken off the demand.
    """
    most = np.bincount(power.contact_owner, power.contact, count) + np.bincount(power.clamp_owner, power.clamp, count)
    noise = np.abs(most) <= NOISE * abs(right)
    right -= float(np.maximum(most[noise], 0.0).sum())
    return np.where(noise, 0.0, most), right


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


def turned_twist(twist: Array, rotation: Array) -> Array:
    """Return the twist of a weldment turned by a rotation (3, 3), for use in another lie."""
    return np.concatenate([twist[:, :3] @ rotation.T, twist[:, 3:] @ rotation.T], axis=1)


def _counting(owners: Iterable[int], worst: int | None, like: tuple[int, ...]) -> list[int]:
    """Return the candidates of a choice, and `worst` if any of those like it stands."""
    chosen = set(owners)
    if worst is not None and chosen & set(like):
        chosen.add(worst)
    return sorted(chosen)
