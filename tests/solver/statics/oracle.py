"""A second, plain way to the same answer: one dense linear program per case, written from the law, solved by scipy.

Shares no arithmetic with `solver.statics`: moments about the table's origin, unknowns are normal and friction
components with the octagon written as rows, not as generators.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import linprog

from inventory.shapes import Array
from solver.statics import ContactSystem, LoadCases

ANGLES = np.arange(8) * np.pi / 4 + np.pi / 8
OCTAGON = np.stack([np.cos(ANGLES), np.sin(ANGLES)], axis=1)
INRADIUS = np.cos(np.pi / 8)


def across(normal: Array) -> tuple[Array, Array]:
    """Two unit vectors square to the normal, the first level."""
    level = np.array([1.0, 0, 0]) if abs(normal[2]) > 1 - 1e-12 else np.cross([0, 0, 1.0], normal)
    level = level / np.linalg.norm(level)
    return level, np.cross(normal, level)


class Oracle:
    """Rows and columns of one laid weldment."""

    def __init__(self, contact_system: ContactSystem) -> None:
        contacts, clamps, mu = contact_system.contacts, contact_system.clamps, contact_system.friction
        self.parts, points, tips = len(contact_system.part_weights), len(contacts), len(clamps)
        self.columns = 3 * points + 2 * tips
        self.matrix, self.known = np.zeros((6 * self.parts, self.columns)), np.zeros(6 * self.parts)
        self.rows: list[Array] = []
        self.right: list[float] = []
        for k in range(points):
            for j, direction in enumerate((contacts.normal[k], *across(contacts.normal[k]))):
                self.act(self.matrix[:, 3 * k + j], contacts.part[k], contacts.at[k], direction)
                if contacts.other[k] >= 0:
                    self.act(self.matrix[:, 3 * k + j], contacts.other[k], contacts.at[k], -direction)
            for side in OCTAGON:
                self.bound({3 * k: -mu * INRADIUS, 3 * k + 1: side[0], 3 * k + 2: side[1]}, 0.0)
        for group, cap in enumerate(contacts.caps_n):
            self.bound({3 * int(k): 1.0 for k in np.flatnonzero(contacts.group == group)}, cap)
        for k in range(tips):
            self.act(self.known, clamps.part[k], clamps.at[k], clamps.force_n[k] * clamps.direction[k])
            column = 3 * points + 2 * k
            for j, direction in enumerate(across(clamps.direction[k])):
                self.act(self.matrix[:, column + j], clamps.part[k], clamps.at[k], direction)
            for side in OCTAGON:
                self.bound({column: side[0], column + 1: side[1]}, mu * INRADIUS * clamps.force_n[k])
        for part in range(self.parts):
            self.act(
                self.known,
                part,
                contact_system.part_weights.centres[part],
                np.array([0, 0, -contact_system.part_weights.weights_n[part]]),
            )
        push: tuple[int | None, int | None] = (0, None)
        free: tuple[int | None, int | None] = (None, None)
        self.bounds = [push, free, free] * points + [free] * (2 * tips)

    @staticmethod
    def act(rows: Array, part: int, at: Array, force: Array) -> None:
        """Add a force and its moment about the origin (per 100 mm)."""
        rows[6 * part : 6 * part + 3] += force
        rows[6 * part + 3 : 6 * part + 6] += np.cross(at, force) / 100

    def bound(self, coefficients: dict[int, float], most: float) -> None:
        """Add a row: sum of coefficients x unknowns <= most."""
        row = np.zeros(self.columns)
        row[list(coefficients)] = list(coefficients.values())
        self.rows.append(row)
        self.right.append(most)

    def imbalances(self, cases: LoadCases) -> list[float]:
        """Least total force and moment left over in each case, N; 0 if it is held."""
        return [self.imbalance(cases, case) for case in range(len(cases))]

    def imbalance(self, cases: LoadCases, case: int) -> float:
        """Least total force and moment left over in one case, N."""
        known = self.known.copy()
        roots = np.zeros((len(known), 0 if np.isnan(cases.root[case, 0]) else 3))
        for k, sign in ((0, 1.0), (1, -1.0)):
            part = cases.part[case, k]
            if part >= 0:
                self.act(known, part, cases.at[case, k], cases.force[case, k])
                for j in range(roots.shape[1]):
                    self.act(roots[:, j], part, cases.root[case], sign * np.eye(3)[j])
        slack = np.eye(len(known))
        extra = roots.shape[1] + 2 * len(known)
        answer = linprog(
            np.concatenate([np.zeros(self.columns + roots.shape[1]), np.ones(2 * len(known))]),
            A_ub=np.hstack([np.array(self.rows), np.zeros((len(self.rows), extra))]),
            b_ub=self.right,
            A_eq=np.hstack([self.matrix, roots, slack, -slack]),
            b_eq=-known,
            bounds=self.bounds + [(None, None)] * roots.shape[1] + [(0, None)] * (2 * len(known)),
            method="highs",
        )
        assert answer.status == 0 and answer.fun is not None, answer.message
        return float(answer.fun)
