"""The request that a draft makes once it is asked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from service.documents.request import FORMAT
from service.weldments.asking.asked_rest import asked_rest
from service.weldments.origins import as_request
from service.weldments.starts import QUANTITY


def completed(document: Mapping[str, Any], tables: Iterable[str], today: date) -> dict[str, Any]:
    """Return the request a draft makes: every table there is where it names none, lead times counted from today.

    What the draft has besides, such as pins, stays as it is.
    """
    rest = asked_rest(document)
    whole = {"format": FORMAT, "quantity": QUANTITY, **as_request(document)}
    if rest.tables is None:
        whole["tables"] = sorted(tables)
    if rest.lead_times:
        whole["today"] = today.isoformat()
    return whole
