"""The form that says how long a setup or a cycle took: minutes and seconds as people write them."""

from __future__ import annotations

from datetime import date

from inventory.limits import Limit, shown
from service.documents.shop_floor.reports import ARC_SECONDS, COUNT, SECONDS
from service.exchange.cells import Unreadable, number
from service.page.forms import Form
from service.shop_floor.reporting import Timed

_MINUTES = Limit(0.01, 16_000, "minutes")


def timed_of(form: Form, today: date) -> list[Timed]:
    """Return what a form says was measured; what is wrong is left with the form, at its field."""
    minutes, cycle_s = _number(form, "setup_minutes", _MINUTES), _number(form, "cycle_s", SECONDS)
    arc_s, on = _number(form, "arc_s", ARC_SECONDS), form.day("measured_on")
    pieces = form.whole("pieces", int(COUNT.low), int(COUNT.high), otherwise=1) or 1
    note = form.text("note", "what was special")
    found: list[tuple[str, Timed]] = []
    if minutes is not None:
        before = form.raw("set_before") == "yes"
        found.append(("setup", Timed("setup", round(minutes * 60, 3), 1, before, 0.0, on, note)))
    if cycle_s is not None:
        found.append(("cycle", Timed("cycle", cycle_s, pieces, None, arc_s or 0.0, on, note)))
    elif arc_s:
        form.fault("arc_s", "is said without a cycle", "together with the cycle's seconds")
    known = {fault.pointer for fault in form.faults}
    for _, timed in found:
        for fault in timed.faults(today):
            if fault.pointer not in known:
                form.faults.append(fault)
                known.add(fault.pointer)
    if not found and not form.faults:
        form.fault("setup_minutes", "nothing was measured", "minutes of a setup, seconds of a cycle, or both")
    return [timed for _, timed in found]


def _number(form: Form, name: str, limit: Limit) -> float | None:
    text = form.raw(name).strip()
    if not text:
        return None
    try:
        value = float(number(text))
    except Unreadable as error:
        form.fault(name, f"{shown(text)} {error}", limit.accepted)
        return None
    faults = list(limit.faults(f"/{name}", value))
    form.faults += faults
    return None if faults else value
