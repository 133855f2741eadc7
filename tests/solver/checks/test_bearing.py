"""How much pads bear, recomputed from a plan's own contacts."""

from __future__ import annotations

from typing import Any

import pytest

from solver.checks.rules.bearing import check_bearing
from solver.checks.scene.reading import read_alternative
from solver.checks.scene.scene import set_scene
from solver.plans import Finding
from tests.solver.checks import tab_job as job


def found(document: dict[str, Any], **rules: float) -> dict[tuple[str, str], Finding]:
    asked = job.request(rules=rules)
    scene = set_scene(asked, job.stock(), asked.rules, read_alternative(document))
    return {(told.rule, told.subject): told for told in check_bearing(scene)}


def test_every_pad_of_the_job_bears() -> None:
    """The tall stop at the tab's end meets 14 of its 28 mm, the rest under the tab 15 of 30: exactly half."""
    told = found(job.tab_alternative())
    assert all(finding.ok for finding in told.values())
    for subject, half in (("e2 tab", 14), ("k1 tab", 15)):
        least = told["locate.pad_share", subject]
        assert (least.value, least.limit) == pytest.approx((half, half))


def test_a_pad_that_bears_too_little_is_a_fault() -> None:
    told = found(job.tab_alternative(), **{"locate.pad_share": 0.6})
    assert [subject for (_, subject), finding in told.items() if not finding.ok] == ["e2 tab", "k1 tab"]


def test_a_patch_that_says_less_than_the_pad_meets_is_taken_at_its_word() -> None:
    alternative = job.tab_alternative()
    contact = job.placement(alternative, "s1")["contacts"][0]
    contact["patch"] = [[x, y, min(z, 25.0)] for x, y, z in contact["patch"]]
    told = found(alternative)["locate.pad_share", "s1 tube"]
    assert not told.ok and (told.value, told.limit) == pytest.approx((17, 22))


def test_nothing_is_asked_of_a_pin_in_a_hole_or_where_the_rule_is_off() -> None:
    assert found(job.tab_alternative(), **{"locate.pad_share": 0, "clamp.pad_share": 0}) == {}
    alternative = job.tab_alternative()
    job.placement(alternative, "s1")["contacts"][0]["face"] = "cutout:0:1"
    assert ("locate.pad_share", "s1 tube") not in found(alternative)
