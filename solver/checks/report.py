"""What the checker found: every result with its number, limit and rule."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from solver.plans import Finding


@dataclass(frozen=True, slots=True)
class Report:
    """The findings of one check of a plan, failed and passed alike, in the order they were made."""

    findings: tuple[Finding, ...]

    @property
    def ok(self) -> bool:
        """Whether every finding holds."""
        return all(finding.ok for finding in self.findings)

    @property
    def failed(self) -> tuple[Finding, ...]:
        """The findings that do not hold."""
        return tuple(finding for finding in self.findings if not finding.ok)


def fail(rule: str, subject: str, text: str, value: float | None = None, limit: float | None = None, unit: str = "") -> Finding:
    """Return a finding that does not hold."""
    return Finding(rule, subject, value, limit, unit, False, text)


def at_least(rule: str, subject: str, value: float, limit: float, unit: str, text: str = "", slack: float = 1e-6) -> Finding:
    """Return a finding that holds if `value` reaches `limit`, less `slack`."""
    return Finding(rule, subject, _short(value), _short(limit), unit, bool(value >= limit - slack), text)


def at_most(rule: str, subject: str, value: float, limit: float, unit: str, text: str = "", slack: float = 1e-6) -> Finding:
    """Return a finding that holds if `value` stays within `limit`, plus `slack`."""
    return Finding(rule, subject, _short(value), _short(limit), unit, bool(value <= limit + slack), text)


def passed(rule: str, subject: str, text: str = "") -> Finding:
    """Return a finding that holds and has no number."""
    return Finding(rule, subject, None, None, "", True, text)


def summary(rule: str, subject: str, failures: Iterable[Finding], text: str = "") -> tuple[Finding, ...]:
    """Return the failures, or one passing finding if there is none."""
    return tuple(failures) or (passed(rule, subject, text),)


def _short(value: float) -> float:
    return round(float(value), 6)
