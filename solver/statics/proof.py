"""From the duals of a failed program to certificates, as small as they can be made.

A load case often fails at several parts at once, each for reasons of its own, and the program's duals hold all of them
in one. Certificates of one part alone say more: where a part's own twist (all others at rest) proves that it fails, that
is a certificate; what is left is tried as groups of parts that touch each other.
"""

from __future__ import annotations

import numpy as np
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from inventory.shapes import Array
from solver.statics.contacts import GROUND, ContactSystem
from solver.statics.loads import LoadCases
from solver.statics.power import Certificate, demand, support_power

PROVEN_N = 1e-6
AT_REST = 1e-9


def proofs(twist: Array, contact_system: ContactSystem, cases: LoadCases, index: int) -> list[Certificate]:
    """Return certificates that load case `index` is not held, each for as few parts as possible.

    Parameters
    ----------
    twist : (P, 6)
        The program's duals as velocities.
    contact_system : ContactSystem
        The contacts and clamps that are there.
    cases : LoadCases
        Each certificate is stated for the case it refutes most clearly.
    index : int
        The case that failed.
    """
    moving = np.abs(twist).max(axis=1) > AT_REST * np.abs(twist).max()
    found = []
    left = moving.copy()
    for part in np.flatnonzero(moving):
        alone = _proof(_only(twist, np.arange(len(twist)) == part), contact_system, cases, index)
        if alone is not None:
            found.append(alone)
            left[part] = False
    for group in _touching(contact_system, left):
        together = _proof(_only(twist, group), contact_system, cases, index)
        if together is not None:
            found.append(together)
    if not found:
        whole = _proof(twist, contact_system, cases, index)
        return [] if whole is None else [whole]
    return found


def _proof(twist: Array, contact_system: ContactSystem, cases: LoadCases, index: int) -> Certificate | None:
    available = support_power(twist, contact_system).total
    needed = demand(twist, contact_system.part_weights, cases)
    if needed[index] - available <= PROVEN_N:
        return None
    most = int(np.argmax(needed))
    return Certificate(twist, float(needed[most]), available, cases.names[most])


def _only(twist: Array, part: Array) -> Array:
    return np.where(part[:, None], twist, 0.0)


def _touching(contact_system: ContactSystem, part: Array) -> list[Array]:
    """Return the groups of the given parts that touch each other, as masks."""
    contacts, count = contact_system.contacts, len(part)
    between = (contacts.other != GROUND) & part[contacts.part] & part[contacts.other]
    pairs = (np.ones(int(between.sum())), (contacts.part[between], contacts.other[between]))
    number, group = connected_components(sparse.coo_array(pairs, shape=(count, count)), directed=False)
    masks = [part & (group == k) for k in range(number)]
    return [mask for mask in masks if mask.any()]
