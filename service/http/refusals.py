"""What the store refuses, as problems for HTTP."""

from __future__ import annotations

from inventory.availability import Shortage
from inventory.errors import HoldwrightError, InvalidDocument
from inventory.reservations import IllegalStep
from inventory.store import errors
from service.http.problems import Problem, invalid
from service.stockroom.documents import short_document

_KINDS: tuple[tuple[type[HoldwrightError], str], ...] = (
    (errors.NotFound, "not-found"),
    (errors.AlreadyThere, "exists"),
    (errors.InUse, "in-use"),
    (errors.Stale, "changed"),
    (errors.KeyReused, "key-reused"),
    (errors.CountRefused, "count"),
    (errors.StoreBusy, "busy"),
    (errors.StoreUnusable, "store"),
)


def problem_of(error: HoldwrightError) -> Problem:
    """Return the problem an error is for whoever asked over HTTP."""
    if isinstance(error, InvalidDocument):
        return invalid(error.faults)
    if isinstance(error, Shortage):
        return Problem("short", str(error), more={"short": [short_document(line) for line in error.lines]})
    if isinstance(error, IllegalStep):
        return Problem("step", str(error), more={"state": error.state, "allowed": list(error.legal)})
    for kind, name in _KINDS:
        if isinstance(error, kind):
            return Problem(name, str(error), headers={"Retry-After": "1"} if name == "busy" else {})
    raise error
