"""The estimate: what is held beforehand, limits, losses and their slopes."""

from __future__ import annotations

import numpy as np
import pytest

from solver.time_study.robust import BISQUARE, HUBER, Beforehand, Loss, Residuals, covariance, robust_estimate


@pytest.mark.parametrize("loss", [HUBER, BISQUARE])
def test_a_loss_s_slopes_are_those_of_its_values(loss: Loss) -> None:
    z = np.array([0.01, 0.3, 0.9, 1.4, 5.0])
    step = 1e-6
    values, first, second = loss.rho(z)
    assert (loss.rho(z + step)[0] - values) / step == pytest.approx(first, abs=1e-5)
    assert (loss.rho(z + step)[1] - first) / step == pytest.approx(second, abs=1e-5)


def mean_of(measured: list[float], beforehand: Beforehand | None = None, high: float = np.inf) -> Residuals:
    seen = np.array(measured)
    return Residuals(lambda b: b[0] - seen, lambda b: np.ones((len(seen), 1)), np.array([-np.inf]), np.array([high]), beforehand)


def test_one_gross_error_does_not_move_the_bisquare() -> None:
    measured = [9.0, 9.5, 10.0, 10.5, 11.0]
    without = robust_estimate(mean_of(measured), np.zeros(1))
    with_one = robust_estimate(mean_of([*measured, 500.0]), np.zeros(1))
    assert without.values[0] == pytest.approx(10)
    assert with_one.values[0] == pytest.approx(10, abs=0.1) and with_one.weights[-1] == 0
    assert np.mean([*measured, 500.0]) > 90


def test_what_is_held_beforehand_counts_as_its_information_does() -> None:
    # Hand calculation: plain squares, mean 10 with variance v of the mean, held at 4 to within 2:
    # (10/v + 4/4) / (1/v + 1/4); and the variance is 1 / (1/v + 1/4).
    measured = [8.0, 12.0, 9.0, 11.0, 10.0, 10.0]
    squares = (Loss(1e9, redescends=False),)
    free = robust_estimate(mean_of(measured), np.zeros(1), squares)
    likely = mean_of(measured, Beforehand(np.array([4.0]), np.array([2.0])))
    held = robust_estimate(likely, np.zeros(1), squares)
    scale, count = held.scale, len(measured)
    assert held.values[0] == pytest.approx((10 * count / scale**2 + 4 / 4) / (count / scale**2 + 1 / 4), rel=1e-6)
    assert 4 < held.values[0] < free.values[0]
    data = np.sum((held.values[0] - np.array(measured)) ** 2) / (count - 1) / count
    assert covariance(likely, held)[0, 0] == pytest.approx(1 / (1 / data + 1 / 4), rel=1e-6)


def test_saying_the_same_twice_is_no_more_than_saying_it_once() -> None:
    # Hand calculation: all variance lies between groups of two, r = 1: the variance of the mean is 2 times that of twelve.
    measured = [8.0, 12.0, 9.0, 11.0, 10.5, 9.5]
    twice = mean_of([each for each in measured for _ in range(2)])
    found = robust_estimate(twice, np.zeros(1), (Loss(1e9, redescends=False),))
    groups = [f"p{k // 2}" for k in range(12)]
    assert covariance(twice, found, groups)[0, 0] == pytest.approx(2 * covariance(twice, found)[0, 0])
    alone = [f"p{k}" for k in range(12)]
    assert covariance(twice, found, alone)[0, 0] == pytest.approx(covariance(twice, found)[0, 0])


def test_an_estimate_stays_within_its_limits() -> None:
    assert robust_estimate(mean_of([9.0, 10.0, 11.0], high=8.0), np.zeros(1)).values[0] == pytest.approx(8, abs=1e-6)


def test_times_that_agree_to_the_second_leave_a_scatter_all_the_same() -> None:
    found = robust_estimate(mean_of([10.0] * 8), np.zeros(1), least_scale=0.05)
    assert found.values[0] == pytest.approx(10) and found.scale == 0.05
