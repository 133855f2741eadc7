"""An alternative given as values is judged as strictly as one read from a document."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from inventory.shapes import Prism
from solver.checks import check_alternative
from solver.checks.scene.reading import read_alternative
from solver.plans import Alternative
from tests.solver.checks import tab_job as job


def unreadable(alternative: Alternative) -> set[str]:
    """Where the checker finds something no sound document could say."""
    findings = check_alternative(job.request(), job.stock(), alternative)
    return {finding.subject for finding in findings if finding.rule == "document.readable" and not finding.ok}


def with_first(**changes: Any) -> Alternative:
    """The plan with its first placement changed."""
    alternative = read_alternative(job.tab_alternative())
    first, *others = alternative.placements
    return replace(alternative, placements=(replace(first, **changes), *others))


def contact(**changes: Any) -> Any:
    first = with_first().placements[0]
    return (replace(first.contacts[0], **changes), *first.contacts[1:])


def moved(solid: Prism, **changes: Any) -> Prism:
    """A prism changed without being judged, as one that is moved to its place is not."""
    changed = object.__new__(Prism)
    for name in Prism.__dataclass_fields__:
        object.__setattr__(changed, name, changes.get(name, getattr(solid, name)))
    return changed


def test_the_plan_passes_as_values_too() -> None:
    findings = check_alternative(job.request(), job.stock(), with_first())
    assert findings and all(finding.ok for finding in findings)


@pytest.mark.parametrize("turn", [float("nan"), float("inf"), 1e7])
def test_a_number_no_table_can_hold_is_seen(turn: float) -> None:
    assert unreadable(with_first(turn=turn)) == {"/placements/0/turn"}


def test_a_contact_without_a_patch_is_seen() -> None:
    assert unreadable(with_first(contacts=contact(patch=()))) == {"/placements/0/contacts/0/patch"}


def test_a_part_contact_without_a_patch_is_seen() -> None:
    alternative = with_first()
    bare = replace(alternative.part_contacts[0], patch=())
    assert unreadable(replace(alternative, part_contacts=(bare,))) == {"/part_contacts/0/patch"}


def test_a_role_there_is_not_is_seen() -> None:
    assert unreadable(with_first(locates=(("tube", "top"),))) == {"/placements/0/locates/0/as"}


def test_a_value_of_another_kind_is_seen() -> None:
    assert unreadable(with_first(contacts=contact(at=[1.0, 2.0, 3.0]))) == {"/placements/0/contacts/0/at"}


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"outline": ((0.0, 0.0), (1.0, 0.0))}, "/outline"),
        ({"start": 5.0, "end": 5.0}, "/to"),
        ({"frame": ((2.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))}, "/frame"),
    ],
)
def test_a_body_that_is_no_solid_is_seen(changes: dict[str, Any], where: str) -> None:
    solid = with_first().placements[0].solids[0]
    assert unreadable(with_first(solids=(moved(solid, **changes),))) == {f"/placements/0/solids/0{where}"}


def test_no_station_at_all_is_seen() -> None:
    assert unreadable(replace(with_first(), stations=())) == {"/stations"}


def test_a_price_may_be_larger_than_a_table() -> None:
    """Only what stands in the table frame has a size to keep to; a dear plan is wrong by its arithmetic, not unreadable."""
    alternative = with_first()
    assert unreadable(replace(alternative, cost=replace(alternative.cost, total_cents=10**9))) == set()
