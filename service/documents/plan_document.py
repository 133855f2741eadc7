"""Plans and single alternatives, written as documents and read back: the one place that knows both."""

from __future__ import annotations

from typing import Any, cast

from inventory.shapes import IDENTITY, Prism
from service.documents.plan_schema.plan import FORMAT, PlanDocument
from service.documents.reading.reading import Reading
from service.documents.reading.text import LARGEST_FILE
from solver.plans import Alternative, Placement, Plan, Purchase, Refused, Relaxation, Repair, Station, WeldSamples

Plain = dict[str, Any]


def plan_document(plan: Plan) -> Plain:
    """Return the plan document (``holdwright.plan/1``) as plain JSON values."""
    return {
        "format": FORMAT,
        "status": plan.status,
        "stopped_by": plan.stopped_by,
        "cost_bound_cents": plan.cost_bound_cents,
        "gap": plan.gap,
        "solve_s": plan.solve_s,
        "rules_version": plan.rules_version,
        "rules": dict(plan.rules),
        "stock_version": plan.stock_version,
        "seed": plan.seed,
        "alternatives": [alternative_document(alternative) for alternative in plan.alternatives],
        "refused": None if plan.refused is None else _refused(plan.refused),
        "findings": _plain(plan.findings),
        "work": dict(plan.work),
    }


def alternative_document(alternative: Alternative) -> Plain:
    """Return one alternative as plain JSON values; numbered stations are listed, each with its lie and way out."""
    one, numbered = alternative.stations[0], alternative.stations[0].number is not None
    document = {name: _plain(getattr(alternative, name)) for name in ("rank", "title", "table", "cost", "setup_s", "cycle_s")}
    if numbered:
        document["stations"] = [
            {"station": each.number, "lie": _lie(each), "weldment_to_table": _plain(each.weldment_to_table)}
            for each in alternative.stations
        ]
    else:
        document["weldment_to_table"] = _plain(one.weldment_to_table)
    document |= {name: _plain(getattr(alternative, name)) for name in ("parts", "placements", "part_contacts", "load")}
    ways = [_plain(each.unload) for each in alternative.stations]
    if numbered:
        ways = [way | {"station": each.number} for way, each in zip(ways, alternative.stations, strict=True)]
    document["unload"] = ways if numbered else ways[0]
    document |= {name: _plain(getattr(alternative, name)) for name in ("findings", "kit", "differs")}
    if not numbered:
        document["lie"] = _lie(one)
    document["welds"] = _plain(alternative.welds)
    return document


def read_plan(raw: bytes | str | Plain) -> Plan:
    """Read a plan document.

    Parameters
    ----------
    raw : bytes, str or dict
        The document, up to 20 MB; fields that are not described are passed over.

    Raises
    ------
    InvalidDocument
        With every fault: those of `sound_plan_document`, unsound solids, a station without a way out.
    """
    reading = _reading(raw)
    plan = None if reading.document is None else reading.made(reading.document.to_domain)
    reading.finish()
    assert plan is not None
    return plan


def sound_plan_document(raw: bytes | str | Plain) -> Plain:
    """Return a plan document as given, for the independent check, which reads it for itself.

    Parameters
    ----------
    raw : bytes, str or dict
        The document, up to 20 MB; fields that are not described are kept.

    Returns
    -------
    dict
        Every field described is there and of its type.

    Raises
    ------
    InvalidDocument
        With every fault: what is missing, of another type or not finite, holes that are no labels, pieces that stand on
        each other in a circle, placements named like parts. Whether the plan is right is for the checks to say.
    """
    reading = _reading(raw)
    reading.finish()
    return cast(Plain, reading.values)


def _reading(raw: bytes | str | Plain) -> Reading[PlanDocument]:
    return Reading(raw, PlanDocument, LARGEST_FILE)


def _refused(refused: Refused) -> Plain:
    return {"because": _plain(refused.because), "would_help": [_repair(repair) for repair in refused.would_help]}


def _repair(repair: Repair) -> Plain:
    return {
        "do": repair.do,
        **_change(repair),
        "then_total_cents": repair.plan.cost.total_cents,
        "plan": alternative_document(repair.plan),
    }


def _change(repair: Repair) -> Plain:
    """Return what a repair buys, relaxes or allows."""
    if isinstance(repair, Purchase):
        first, *also = _plain(repair.lines)
        return first | {"also": also} if also else first  # type: ignore[no-any-return]
    if isinstance(repair, Relaxation):
        return {"rule": repair.rule, "from": repair.given, "to": repair.value}
    return {"rule": repair.what, "from": repair.given, "to": repair.other}


def _lie(station: Station) -> Plain:
    return {"down": station.down, "turn": _number(station.turn)}


def _number(value: float) -> float | int:
    return int(value) if float(value).is_integer() else value


def _plain(value: Any) -> Any:
    """Render plan values as JSON values: prisms by the documents' names, tuples as lists, pairs as objects."""
    if isinstance(value, Prism):
        return _prism(value)
    if isinstance(value, tuple | list):
        return [_plain(entry) for entry in value]
    if not hasattr(value, "__dataclass_fields__"):
        return value
    fields = {name: _plain(getattr(value, name)) for name in value.__dataclass_fields__}
    if isinstance(value, Placement):
        fields["turn"] = _number(value.turn)
        fields["locates"] = [{"part": part, "as": role} for part, role in value.locates]
    if isinstance(value, WeldSamples):
        fields["samples"] = [{"at": list(at), "torch": list(torch)} for at, torch in value.samples]
    if fields.get("station", 0) is None:
        del fields["station"]
    return fields


def _prism(prism: Prism) -> Plain:
    document: Plain = {"outline": _plain(prism.outline), "from": prism.start, "to": prism.end}
    if prism.cutouts:
        document["cutouts"] = _plain(prism.cutouts)
    if prism.frame != IDENTITY:
        document["frame"] = _plain(prism.frame)
    return document
