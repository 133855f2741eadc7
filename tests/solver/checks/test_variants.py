"""Variants are checked as plans of their own, and against the set-up they share: whatever is changed in one is found."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from service.documents import plan_document
from solver.checks import check
from tests.solver.sizes import two_sizes

Document = dict[str, Any]


def document() -> Document:
    return copy.deepcopy(plan_document(two_sizes()[2]))


def failed(change: Callable[[Document], None]) -> set[tuple[str, bool]]:
    """Return the rules that fail once something is changed in the first alternative, and whether of the variant."""
    request, stock, _ = two_sizes()
    changed = document()
    change(changed["alternatives"][0])
    return {(finding.rule, finding.subject.startswith("variant L 512: ")) for finding in check(request, stock, changed).failed}


def test_a_plan_of_two_sizes_passes_every_check_for_both() -> None:
    request, stock, _ = two_sizes()
    report = check(request, stock, document())
    assert report.ok, report.failed[:5]
    of_the_variant = {finding.rule for finding in report.findings if finding.subject.startswith("variant L 512: ")}
    assert of_the_variant >= {
        "solids.catalogue", "solids.request", "clear.weld", "torch.free", "hand.free", "hold.gravity", "way.clear", "clamp.per_length",
        "variants.same_pieces", "variants.same_lie", "variants.same_order", "variants.settings",
    }  # fmt: skip


def _moved(alternative: Document) -> None:
    piece = alternative["variants"][0]["placements"][0]
    piece["hole"] = f"A{piece['hole'][1:]}"


def _set(alternative: Document) -> None:
    variant = alternative["variants"][0]
    piece = next(p for p in variant["placements"] if p["item"] == "adjustable")
    piece["setting_mm"] += 1
    variant["settings"][piece["id"]] += 1


def _listed(alternative: Document) -> None:
    variant = alternative["variants"][0]
    variant["settings"][next(iter(variant["settings"]))] += 1


def _shifted(alternative: Document) -> None:
    alternative["variants"][0]["weldment_to_table"][0][3] += 1


def _turned_round(alternative: Document) -> None:
    alternative["variants"][0]["load"].reverse()


def _gone(alternative: Document) -> None:
    alternative["variants"] = []


def _cheaper(alternative: Document) -> None:
    alternative["variants"][0]["reset_s"] -= 40


def _through_the_stop(alternative: Document) -> None:
    alternative["variants"][0]["unload"]["moves"] = [{"direction": [1, 0, 0], "distance": 600}]


@pytest.mark.parametrize(
    ("change", "rule", "of_the_variant"),
    [
        (_moved, "variants.same_pieces", True),
        (_set, "solids.catalogue", True),
        (_listed, "variants.settings", True),
        (_shifted, "variants.same_lie", True),
        (_turned_round, "variants.same_order", True),
        (_gone, "variants.listed", False),
        (_cheaper, "cost.reset_s", False),
        (_through_the_stop, "way.clear", True),
    ],
)
def test_what_is_changed_in_a_variant_is_found(change: Callable[[Document], None], rule: str, of_the_variant: bool) -> None:
    assert (rule, of_the_variant) in failed(change)


def test_the_price_has_every_size() -> None:
    def fewer(alternative: Document) -> None:
        alternative["cost"]["cycle_cents"] -= 1
        alternative["cost"]["total_cents"] -= 1

    assert {rule for rule, _ in failed(fewer)} >= {"cost.cycle_cents", "cost.total_cents"}
