"""Is the weldment held? Contact equilibrium of all parts at once under every load case, with a proof either way.

Law: every patch corner pushes (normal >= 0) with friction inside a cone of slope mu, written as eight generators
n + mu t_j inside it; a contact between two parts acts on both with opposite sign; a clamp presses exactly its rated
force along its direction at its tip, and may rub there with up to mu x force; a capped locator's normals sum to at most
its cap. A case is held if such forces put every part in balance. Source: static equilibrium with Coulomb friction
(textbook mechanics); a lower-bound argument, some admissible state of forces exists.

Signs: forces are those acting on the parts. A certificate's twist y gives every part a velocity v + omega x (r - c);
y.w is the power of the known loads w (gravity, pushes). Balance needs forces f with y.f = -y.w for every y, so a case
fails for sure if the greatest power h(y) that contacts and clamps could have is below -y.w.

Worked example (one block, in the x-z plane): a 10 N block lies on the slab with mu = 0.2, and a push of 5 N along +x.
y = -x at 1 mm/s: the push has power -5, so -y.w = 5. The slab's generators (0, 0, 1) + 0.2 t have power at most 0.2 per
newton of normal, and nothing in y limits the normal, so y alone proves nothing. With y = (-1, 0, -0.2): gravity has
power +2, -y.w = 5 - 2 = 3; the generators' best power is 0.2 - 0.2 = 0, so h = 0 < 3: not held, 3 N short.
A side stop whose normal is -x has power 1 per newton of y: h_i = its cap, and the cut reads h_i x_i >= 3.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.statics.contacts import ContactSystem
from solver.statics.loads import CaseName, LoadCases
from solver.statics.power import Certificate, demand
from solver.statics.proof import PROVEN_N, proofs
from solver.statics.questions import Questions

SURE_SHARE = 0.999


@dataclass(frozen=True, slots=True)
class HoldingFailure:
    """One load case that is not held: its name, how many newtons are missing in all, and the proof.

    A case that fails at several parts for reasons of their own gives one failure, with its own certificate, for each.
    `certificate` is None only if the case fails by less than the arithmetic can prove.
    """

    case: CaseName
    index: int
    imbalance_n: float
    certificate: Certificate | None


@dataclass(frozen=True, slots=True)
class HoldingVerdict:
    """The verdict: `failures`, worst suspected first; `programs` counts exact solves."""

    failures: tuple[HoldingFailure, ...]
    cases: int
    programs: int

    @property
    def ok(self) -> bool:
        """Whether every load case is held."""
        return not self.failures


def holding_verdict(contact_system: ContactSystem, cases: LoadCases, most_failures: int = 4) -> HoldingVerdict:
    """Return whether every part is held under every case, with certificates where it is not.

    Parameters
    ----------
    contact_system : ContactSystem
        Contacts and clamps that are there (`ContactSystem.chosen` picks them from candidates).
    cases : LoadCases
    most_failures : int
        Stop once there are this many certificates; a case that an earlier certificate already refutes is not asked
        again.

    Raises
    ------
    StaticsUndecided
        If the linear program of a case returns no answer.
    """
    asked = Questions(contact_system, cases)
    refuted = np.zeros(len(cases), dtype=bool)
    failures: list[HoldingFailure] = []
    programs = 0
    for index in _worst_suspected_first(asked):
        if refuted[index] or asked.shown(index):
            continue
        answer = asked.solve(index)
        programs += 1
        if answer.held:
            continue
        certificates = proofs(answer.twist.reshape(-1, 6) / asked.system.twist_scale, contact_system, cases, index)
        for certificate in certificates:
            refuted |= demand(certificate.twist, contact_system.part_weights, cases) > certificate.available_n + PROVEN_N
        failures += [HoldingFailure(cases.names[index], index, answer.imbalance_n, proof) for proof in certificates or (None,)]
        if len(failures) >= most_failures:
            break
    return HoldingVerdict(tuple(failures), len(cases), programs)


def is_held(contact_system: ContactSystem, cases: LoadCases) -> bool:
    """Return whether every part is held under every case, without saying why not.

    Raises
    ------
    StaticsUndecided
        If the linear program of a case returns no answer.
    """
    asked = Questions(contact_system, cases)
    return all(asked.held(index) for index in range(len(cases)))


def _worst_suspected_first(asked: Questions) -> list[int]:
    """Return the cases that are not held for sure, those first that come nearest to losing a contact."""
    suspicion = asked.losses()
    if suspicion is None:
        return list(range(len(asked.cases)))
    order = np.flatnonzero(suspicion >= SURE_SHARE)
    found: list[int] = order[np.argsort(-suspicion[order], kind="stable")].tolist()
    return found
