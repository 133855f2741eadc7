"""Variants that cannot share a set-up: which of them keep a request from having a plan, as reasons.

In words: the request is planned without any variant. If a fixture stands then, each variant is asked for alone beside the
request's own weldment; those for which nothing stands are named, all together if it is no one of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from solver.deadline import Deadline
from solver.explain.repairs import RepairSearch
from solver.explain.sentences import by_itself
from solver.plans import Reason
from solver.variants import Variant

FIRST_SHARE = 0.5
"""Share of the time for planning without any of them."""


def unmet_variants(repairs: RepairSearch, deadline: Deadline) -> tuple[Reason, ...]:
    """Return the variants because of which a request has no plan; none if it has none without them either."""
    request = repairs.request
    if not request.variants or not _stands(repairs, (), deadline.within(FIRST_SHARE * max(0.0, deadline.seconds_left()))):
        return ()
    alone: list[str] = []
    for k, variant in enumerate(request.variants if len(request.variants) > 1 else ()):
        if deadline.over:
            break
        share = deadline.seconds_left() / (len(request.variants) - k)
        alone += [] if _stands(repairs, (variant,), deadline.within(share)) else [variant.name]
    named = alone or [", ".join(variant.name for variant in request.variants)]
    return tuple(by_itself("variants.same_pieces", name, request.rules) for name in named)


def _stands(repairs: RepairSearch, variants: Sequence[Variant], deadline: Deadline) -> bool:
    asked = replace(repairs.request, variants=tuple(variants), alternatives=1)
    return repairs.trial(asked).cheapest(deadline, first=True) is not None
