"""Robust least squares: the estimate that leaves most residuals small, however far off a few of them are.

A loss rho of residuals over their scale is made least by `scipy.optimize.least_squares`, the scale being the median of the
absolute residuals / 0.6745, iterated until neither changes (P. J. Huber, Robust Statistics, Wiley 1981, chapter 7). Huber's
loss comes first: it has one minimum only. Tukey's bisquare from there on gives gross errors no weight at all, so that setups
that were interrupted, all of them too long, do not lengthen the estimate.

Standard errors are Huber's first form (1981, section 7.6, as statsmodels' `RLM` has it under `H1`):
cov = k^2 (sum psi^2 s^2 / (n - p)) / mean(psi')^2 (J'J)^-1, k = 1 + p/n var(psi') / mean(psi')^2. With all residuals inside
Huber's constant that is the covariance of ordinary least squares.

What is held to be likely before any observation may stand beside them: values with a standard deviation each, rows of plain
squares in units of the scale (ridge regression towards those values). Its information, 1 / deviation^2, is added to that of the
observations, the inverse of their covariance.

A server starts without `scipy.optimize`: the function that asks it imports it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, cast

import numpy as np

from inventory.shapes import Array
from solver.time_study.reports import NORMAL_MEDIAN

_MOST_ROUNDS, _MOST_STEPS = 60, 100
_LEAST_SLOPE = 1e-3
"""Where nearly all residuals are gross errors, the estimate is worth nothing; its error is then large, not without end."""


@dataclass(frozen=True, slots=True)
class Loss:
    """A loss of residuals in units of their scale; `constant`: where it leaves the square (95 % efficient for normal errors)."""

    constant: float
    redescends: bool

    def rho(self, z: Array) -> Array:
        """Return the loss with its first two derivatives, shape (3, n), of squares of residuals over `constant` x scale."""
        if self.redescends:
            inside = np.clip(1 - z, 0, None)
            return np.vstack(((1 - inside**3) / 3, inside**2, -2 * inside))
        far = z > 1
        root = np.sqrt(np.where(far, z, 1.0))
        return np.vstack((np.where(far, 2 * root - 1, z), 1 / root, np.where(far, -0.5 / root**3, 0)))

    def weights(self, u: Array) -> Array:
        """Return psi(u) / u, from 1 (counts in full) to 0, of residuals over their scale."""
        return np.asarray(self.rho((u / self.constant) ** 2)[1])

    def slopes(self, u: Array) -> Array:
        """Return psi'(u)."""
        z = (u / self.constant) ** 2
        _, first, second = self.rho(z)
        return np.asarray(first + 2 * z * second)


HUBER = Loss(1.345, redescends=False)
BISQUARE = Loss(4.685, redescends=True)


@dataclass(frozen=True, slots=True)
class Beforehand:
    """What is held to be likely before any observation: values and their standard deviations, shape (p,)."""

    values: Array
    deviations: Array


@dataclass(frozen=True, slots=True)
class Residuals:
    """What is to be made small: residuals, shape (n,), and their slopes, shape (n, p), at an estimate, shape (p,)."""

    values: Callable[[Array], Array]
    slopes: Callable[[Array], Array]
    low: Array
    high: Array
    beforehand: Beforehand | None = None


@dataclass(frozen=True, slots=True)
class Estimate:
    """An estimate, the scale of the residuals, and each residual with its weight by the loss it ended with."""

    values: Array
    scale: float
    residuals: Array
    weights: Array
    loss: Loss


def robust_estimate(
    problem: Residuals,
    start: Array,
    losses: Sequence[Loss] = (HUBER, BISQUARE),
    least_scale: float = 0.0,
    precision: float = 1e-9,
    near: Estimate | None = None,
) -> Estimate:
    """Return the estimate of least loss, each loss starting from the estimate of the one before.

    Parameters
    ----------
    start : array, shape (p,)
        Within the bounds; the first estimate is that of least squares from there. The slopes must have full rank.
    least_scale : float
        What the residuals' scale is at least: measured times are rounded, so that a few that fit exactly mean nothing.
    precision : float
        Relative change of the scale at which it is settled.
    near : Estimate
        That of nearly the same observations, to begin at with the last loss.
    """
    low, high, settled = problem.low, problem.high, max(1e-14, precision * 1e-3)
    if near is None:
        values = _least(problem, np.clip(start, low, high), None, 0.0, settled)
        scale = _scale(problem.values(values), least_scale)
    else:
        values, scale = near.values, near.scale
    for loss in losses if near is None else losses[-1:]:
        for _ in range(_MOST_ROUNDS):
            if scale == 0:
                break
            values = _least(problem, values, loss, scale, settled)
            before, scale = scale, _scale(problem.values(values), least_scale)
            if abs(scale - before) <= precision * before:
                break
    residuals, last = problem.values(values), losses[-1]
    return Estimate(values, scale, residuals, _weights(residuals, scale, last), last)


def covariance(problem: Residuals, found: Estimate, groups: Sequence[str] = ()) -> Array:
    """Return the covariance of an estimate, shape (p, p).

    The slopes must have full rank there, and there must be more observations than values.

    Parameters
    ----------
    groups : sequence of str, optional
        Of each observation the group it belongs to: those of one group may go wrong together. The covariance is then multiplied
        by Kish's design effect, 1 + (m - 1) r: m is the mean size of the group an observation belongs to, r the share of the
        variance that lies between groups (L. Kish, Survey Sampling, Wiley 1965; source not checked).
    """
    slopes, loss = problem.slopes(found.values), found.loss
    (count, width), u = slopes.shape, found.residuals / found.scale
    bent, psi = loss.slopes(u), loss.weights(u) * u
    mean = max(float(np.mean(bent)), _LEAST_SLOPE)
    k = 1 + width / count * float(np.var(bent)) / mean**2
    # Scaled columns first: rules of seconds and of shares stand beside each other.
    norms = np.maximum(np.linalg.norm(slopes, axis=0), 1e-12)
    inverse = np.linalg.pinv((slopes / norms).T @ (slopes / norms)) / np.outer(norms, norms)
    observed = k**2 * float(psi @ psi) * found.scale**2 / (count - width) / mean**2 * inverse
    observed = observed * (_design_effect(psi, groups) if groups else 1.0)
    if problem.beforehand is None:
        return np.asarray(observed)
    # C - C (C + D)^-1 C, the inverse of the sum of both inverses, which needs no inverse of C.
    beside = observed + np.diag(problem.beforehand.deviations**2)
    return np.asarray(observed - observed @ np.linalg.solve(beside, observed))


def _least(problem: Residuals, start: Array, loss: Loss | None, scale: float, settled: float) -> Array:
    """Return the values of least loss at a scale of the residuals; without a loss, of least squares, whatever the scale."""
    from scipy.optimize import least_squares

    count, before = len(problem.values(start)), problem.beforehand
    ridge = np.zeros((0, len(start)))
    if before is not None and loss is not None:
        ridge = np.diag(scale / before.deviations)

    def residuals(values: Array) -> Array:
        beside = ridge @ (values if before is None else values - before.values)
        return np.concatenate((problem.values(values), beside))

    def rho(z: Array) -> Array:
        assert loss is not None
        squares = np.vstack((z[count:], np.ones(len(z) - count), np.zeros(len(z) - count)))
        return np.hstack((loss.rho(z[:count]), squares))

    def slopes(values: Array) -> Array:
        return np.vstack((problem.slopes(values), ridge))

    found = least_squares(
        residuals,
        start,
        slopes,
        bounds=(problem.low, problem.high),
        method="trf",
        tr_solver="exact",
        x_scale="jac",
        loss="linear" if loss is None else cast(Any, rho),  # the stubs know no function that is not named
        f_scale=1.0 if loss is None else loss.constant * scale,
        ftol=settled,
        xtol=settled,
        gtol=settled,
        max_nfev=_MOST_STEPS,
    )
    return np.asarray(found.x)


def _scale(residuals: Array, least: float) -> float:
    return max(least, float(np.median(np.abs(residuals))) / NORMAL_MEDIAN)


def _weights(residuals: Array, scale: float, loss: Loss) -> Array:
    return np.ones_like(residuals) if scale == 0 else loss.weights(residuals / scale)


def _design_effect(psi: Array, groups: Sequence[str]) -> float:
    """Return by how much groups that go wrong together enlarge the variance: r by the analysis of variance, none if below 0."""
    names, places, sizes = np.unique(np.array(groups), return_inverse=True, return_counts=True)
    count, many = len(psi), len(names)
    if many in (1, count):
        return 1.0
    means = np.bincount(places, psi) / sizes
    between = float(sizes @ (means - psi.mean()) ** 2) / (many - 1)
    within = float(np.sum((psi - means[places]) ** 2)) / (count - many)
    usual = (count - float(sizes @ sizes) / count) / (many - 1)
    whole = between + (usual - 1) * within
    share = 0.0 if whole <= 0 else min(1.0, max(0.0, (between - within) / whole))
    return 1 + (float(sizes @ sizes) / count - 1) * share
