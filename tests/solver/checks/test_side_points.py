"""Side points on long and short faces, by the checker's own arithmetic."""

from __future__ import annotations

from typing import Any

import pytest

from solver.checks.rules.side_points import check_side_points
from solver.checks.scene.reading import read_alternative
from solver.checks.scene.scene import set_scene
from solver.plans import Finding
from tests.solver.checks import tab_job as job


def faces(document: dict[str, Any], **rules: float) -> dict[str, Finding]:
    """Return by part what is found of the faces its side points stand on."""
    asked = job.request(rules=rules)
    scene = set_scene(asked, job.stock(), asked.rules, read_alternative(document))
    return {told.subject: told for told in check_side_points(scene) if told.rule == "locate.side_face_ratio"}


def test_the_longest_face_under_the_outermost_points_is_told() -> None:
    """The tube is 600 long; the tab's side is 120, its longest."""
    told = faces(job.tab_alternative())
    assert told["tube"].ok and (told["tube"].value, told["tube"].limit) == pytest.approx((600, 300))
    assert told["tab"].ok and (told["tab"].value, told["tab"].limit) == pytest.approx((120, 60))


def test_a_side_on_the_short_end_is_a_fault() -> None:
    """Told that its end stop is its side, the tube stands on a face of 60 mm; 0.1 of 600 would be enough."""

    def only_the_end() -> dict[str, Any]:
        alternative = job.tab_alternative()
        for placement in alternative["placements"]:
            for role in placement["locates"]:
                if role["part"] == "tube":
                    role["as"] = "side" if placement["id"] == "e1" else "end"
        return alternative

    told = faces(only_the_end())["tube"]
    assert not told.ok and (told.value, told.limit) == pytest.approx((60, 300))
    assert faces(only_the_end(), **{"locate.side_face_ratio": 0.1})["tube"].ok
    assert faces(only_the_end(), **{"locate.side_face_ratio": 0.0})["tube"].ok
