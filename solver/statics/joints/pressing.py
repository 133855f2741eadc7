r"""Whether loads press joints, counted without friction: if not, a motion that opens some of them against no work.

In words: every force balances with a push of `PUSH_N` or more at each joint, or there is a small motion of the parts that no
contact resists and that opens joints for less work than those pushes would do.
Formula: maximise y . w + P sum m_j  over  y . a_c >= 0 (contacts),  y . a_c >= m_j (those of joint j),  m >= 0, |y| <= 1;
pressed if nothing above 0 is found. A little is taken off for every part that moves, so that only those move that must.
Source: Farkas' lemma. The solver of linear programmes is imported where it is asked: weldments without rings do without.

Example:

```text
   1 ---+               the joints of tube 2 with 1 and 3 open if it moves to the right: y = 1 there, m = 0.7 at both of them
        | 2 <== clamp   clamp of 1500 N to the left:  -1500 + 2 x 0.7 P < 0   pressed
   3 ---+               no clamp:                            2 x 0.7 P > 0   not pressed
```
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.sparse import csr_array

from inventory.shapes import Array
from solver.statics.contacts import GROUND, Clamps, Contacts, ContactSystem, Mask, cross

PUSH_N = 2.0
"""Every joint must be pushed by so much: twice what the checks ask for."""
PER_PART = 1e-3
"""What is taken off for a part's motion by 1 mm, N mm."""
OPENS = 1e-6
"""A contact that a motion brings nearer by more than this resists it, mm."""
GAIN = 1e-4
"""A motion that gains less than this is none, N mm."""


@dataclass(frozen=True)
class OpeningMotion:
    """A motion (6 a part: shift, turn x `scales`) that opens joints, by no more work than the pushes at them would do."""

    system: ContactSystem
    scales: Array
    motion: Array

    def resisted_by(self, contacts: Contacts) -> Mask:
        """Return which contacts resist the motion, (K,)."""
        found: Mask = _columns(self.system, contacts, self.scales) @ self.motion < -OPENS
        return found

    def work_of(self, clamps: Clamps) -> Array:
        """Return the work of each clamp in the motion, (C,), N mm."""
        work: Array = _pushes(self.system, clamps, self.scales) @ self.motion
        return work


def opening_motion(system: ContactSystem, scales: Array, joints: Sequence[Sequence[int]]) -> OpeningMotion | None:
    """Return a motion that opens joints against no work worth it; None if all of them are pressed.

    Parameters
    ----------
    system : ContactSystem
        The contacts and clamps of a choice.
    scales : (P,)
        A length for each part that makes its turns comparable with its shifts, mm.
    joints : sequence of sequences of int
        The contacts of each joint, by their places in `system.contacts`.
    """
    from scipy.optimize import linprog

    size, count = 6 * len(scales), len(joints)
    columns = _columns(system, system.contacts, scales)
    opens = np.zeros((len(columns), count))
    for number, places in enumerate(joints):
        opens[list(places), number] = 1.0
    load = _load(system, scales)
    gain = np.concatenate([-load + PER_PART, load + PER_PART, np.full(count, -PUSH_N)])
    rows: Any = csr_array(np.hstack([-columns, columns, opens]))
    found = linprog(
        gain, A_ub=rows, b_ub=np.zeros(len(columns)), bounds=[(0.0, 1.0)] * 2 * size + [(0.0, None)] * count, method="highs-ds"
    )
    if found.status != 0 or found.x is None or found.fun is None or -found.fun < GAIN:
        return None
    return OpeningMotion(system, scales, found.x[:size] - found.x[size : 2 * size])


def _columns(system: ContactSystem, contacts: Contacts, scales: Array) -> Array:
    """Return the push of 1 N of each contact on all parts, (K, 6 x parts)."""
    found = np.zeros((len(contacts), len(scales), 6))
    rows = np.arange(len(contacts))
    for part, sign in ((contacts.part, 1.0), (contacts.other, -1.0)):
        own = rows[part != GROUND]
        arm = contacts.at[own] - system.part_weights.centres[part[own]]
        turn = cross(arm, contacts.normal[own]) / scales[part[own]][:, None]
        found[own, part[own]] += sign * np.hstack([contacts.normal[own], turn])
    return found.reshape(len(contacts), 6 * len(scales))


def _pushes(system: ContactSystem, clamps: Clamps, scales: Array) -> Array:
    """Return the push of each clamp on all parts, (C, 6 x parts), N."""
    found = np.zeros((len(clamps), len(scales), 6))
    force = clamps.direction * clamps.force_n[:, None]
    arm = clamps.at - system.part_weights.centres[clamps.part]
    found[np.arange(len(clamps)), clamps.part] = np.hstack([force, cross(arm, force) / scales[clamps.part][:, None]])
    return found.reshape(len(clamps), 6 * len(scales))


def _load(system: ContactSystem, scales: Array) -> Array:
    """Return gravity and all clamps on all parts, (6 x parts,), N."""
    load = np.zeros((len(scales), 6))
    load[:, 2] = -system.part_weights.weights_n
    total: Array = load.ravel() + _pushes(system, system.clamps, scales).sum(axis=0)
    return total
