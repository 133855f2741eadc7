"""The second look at a plan under changed rules: its alternatives checked whole, those that could not be judged."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from inventory.errors import InvalidDocument
from inventory.stock import StockSnapshot
from service.documents import read_plan, read_request
from service.documents.rescoring.kept_score import read_score
from service.documents.rescoring.what_if import trespass_document
from solver.rescoring.checking import checked_anew
from solver.rescoring.limits.limit_kind import Trespass
from solver.rescoring.rescored import rescored


def checked_whole(
    request: str, plan: Mapping[str, Any], stock: StockSnapshot, score: str, rules: Mapping[str, float]
) -> dict[int, dict[str, Any]]:
    """Return by rank what the independent checker finds of the alternatives that cannot be judged from a plan's score.

    Empty if the request no longer fits the stock.
    """
    try:
        asked, _ = read_request(json.loads(request), stock)
    except InvalidDocument:
        return {}
    kept, by_rank = read_plan(dict(plan)), {}
    for each in rescored(read_score(score), rules).alternatives:
        whole = kept.alternative(each.score.rank)
        if each.allowed is None and whole is not None:
            failed = [one for one in checked_anew(asked, stock, whole, each, rules) if not one.ok]
            told = [Trespass(one.rule, one.subject, one.value, one.limit, one.unit) for one in failed[:20]]
            by_rank[each.score.rank] = {"ok": not failed, "failed": [trespass_document(one) for one in told]}
    return by_rank
