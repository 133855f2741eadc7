"""What moves with a piece's setting: the way a slide or a clamp's tip travels, and the settings it can be set to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Flags, Index

WITHIN = 1e-6
"""A setting beyond the end of its range by no more than this is at the end, mm."""


def nearest_setting(setting: float | Array, low: float | Array, step: float | Array) -> Array:
    """Return the settings nearest to the wanted ones: whole steps counted from the least; any setting where the step is 0, mm."""
    every = np.asarray(step)
    stepped = low + np.round((setting - low) / np.where(every > 0, every, 1.0)) * every
    return np.where(every > 0, stepped, setting)


@dataclass(frozen=True)
class Travel:
    """A straight travel: direction (unit), least and greatest setting, and the step between settings (0: any), mm."""

    axis: Array
    low: float
    high: float
    step: float

    @property
    def length(self) -> float:
        """From the least to the greatest setting, mm."""
        return self.high - self.low

    def nearest(self, setting: float) -> float:
        """Return the setting nearest to a wanted one, whole steps from the least; its range is not looked at."""
        return float(nearest_setting(setting, self.low, self.step))

    def holds(self, *settings: float) -> bool:
        """Return whether settings lie within its range."""
        return min(settings) >= self.low - WITHIN and max(settings) <= self.high + WITHIN

    def displacement(self, setting: float) -> Array:
        """Return how far what moves stands from setting 0, (3,)."""
        moved: Array = self.axis * setting
        return moved

    def unmoved(self) -> Travel:
        """Return the same settings for what does not move with them."""
        return replace(self, axis=np.zeros(3))


NO_TRAVEL = Travel(np.zeros(3), 0.0, 0.0, 0.0)
"""Of what has no setting: one setting, 0."""


@dataclass(frozen=True)
class Travels:
    """Many travels as arrays, one row each: axes (n, 3), least and greatest settings and steps (n,)."""

    axis: Array
    low: Array
    high: Array
    step: Array

    @staticmethod
    def of(travels: Sequence[Travel | None]) -> Travels:
        """Return travels as arrays; None is what has no setting."""
        all_of = [travel or NO_TRAVEL for travel in travels]
        low, high, step = (np.array([getattr(travel, name) for travel in all_of]) for name in ("low", "high", "step"))
        return Travels(np.array([travel.axis for travel in all_of]).reshape(-1, 3), low, high, step)

    def take(self, rows: Index) -> Travels:
        """Return only some rows, any number of times."""
        return Travels(self.axis[rows], self.low[rows], self.high[rows], self.step[rows])

    def nearest(self, settings: Array) -> Array:
        """Return for each row the setting nearest to a wanted one, mm."""
        return nearest_setting(settings, self.low, self.step)

    def holds(self, settings: Array, slack: float) -> Flags:
        """Return for each row whether a setting lies within its range, or beyond it by no more than `slack` mm."""
        held: Flags = (settings >= self.low - slack) & (settings <= self.high + slack)
        return held
