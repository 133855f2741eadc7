"""Plans that are older than scores are, or that ended with no time left: scored when they are first asked about."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from inventory.errors import InvalidDocument
from inventory.stock import StockSnapshot
from service.documents import read_plan, read_request
from service.documents.rescoring.kept_score import score_text
from solver.rescoring.scoring import OtherHardware, plan_score


def late_score(request: str, plan: Mapping[str, Any], stock: StockSnapshot) -> tuple[str | None, str]:
    """Return the score of a finished plan as it is kept, or None and why it cannot be had.

    Parameters
    ----------
    request, plan : str, dict
        The documents of the job.
    stock : StockSnapshot
        Of the request's days, as it is now.
    """
    try:
        asked, _ = read_request(json.loads(request), stock)
        return score_text(plan_score(asked, stock, read_plan(dict(plan)))), ""
    except InvalidDocument as bad:
        first = bad.faults[0]
        return None, f"its request no longer fits the stock: {first.pointer}: {first.wrong}"
    except OtherHardware as other:
        return None, str(other)
