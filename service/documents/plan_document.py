"""Plans and single alternatives, written as documents and read back: the one place that knows both.

What reads is imported where it is needed: a command that plans writes plans and reads none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, cast

from inventory.shapes import IDENTITY, Prism
from solver.plans import (
    Alternative,
    Change,
    Omission,
    Placement,
    Plan,
    Purchase,
    Refused,
    Relaxation,
    Repair,
    Station,
    VariantPlan,
    WeldSamples,
)

if TYPE_CHECKING:
    from service.documents.plan_schema.plan import PlanDocument
    from service.documents.reading.reading import Reading

FORMAT = "holdwright.plan/1"
Plain = dict[str, Any]


def plan_document(plan: Plan) -> Plain:
    """Return the plan document (``holdwright.plan/1``) as plain JSON values."""
    return {"format": FORMAT, **_fields(plan)}


def alternative_document(alternative: Alternative) -> Plain:
    """Return one alternative as plain JSON values; numbered stations are listed, each with its lie and way out."""
    document: Plain = {}
    for name in Alternative.__dataclass_fields__:
        document |= _stations(alternative.stations) if name == "stations" else {name: _plain(getattr(alternative, name))}
    if alternative.changes is None:
        del document["changes"]
    if not alternative.variants:
        del document["variants"]
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


def read_alternative(values: Plain) -> Alternative:
    """Return one alternative of a plan document; raises InvalidDocument with every fault."""
    from service.documents.plan_schema.alternative import AlternativeDocument
    from service.documents.reading.reading import Reading
    from service.documents.reading.text import LARGEST_FILE

    reading = Reading(values, AlternativeDocument, LARGEST_FILE)
    alternative = None if reading.document is None else reading.made(reading.document.to_domain)
    reading.finish()
    assert alternative is not None
    return alternative


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
    from service.documents.plan_schema.plan import PlanDocument
    from service.documents.reading.reading import Reading
    from service.documents.reading.text import LARGEST_FILE

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
    if isinstance(repair, Omission):
        return {"pins": list(repair.pins), "avoid": list(repair.avoid), "subject": repair.subject}
    return {"rule": repair.what, "from": repair.given, "to": repair.other}


def _variant(variant: VariantPlan) -> Plain:
    document: Plain = {}
    for name in VariantPlan.__dataclass_fields__:
        document |= _stations([variant.station]) if name == "station" else {name: _plain(getattr(variant, name))}
    if variant.mirror is None:
        del document["mirror"], document["shared"]
    return document


def _stations(stations: Sequence[Station]) -> Plain:
    """Return how the weldment lies and leaves: once, or for each numbered station."""
    if stations[0].number is None:
        return {**_lying(stations[0]), "unload": _plain(stations[0].unload)}
    return {
        "stations": [{"station": each.number, **_lying(each)} for each in stations],
        "unload": [_plain(each.unload) | {"station": each.number} for each in stations],
    }


def _lying(station: Station) -> Plain:
    lie = {"down": station.down, "turn": _number(station.turn)}
    return {"lie": lie, "weldment_to_table": _plain(station.weldment_to_table)}


def _number(value: float) -> float | int:
    return int(value) if float(value).is_integer() else value


def _plain(value: Any) -> Any:
    """Render plan values as JSON values: prisms by the documents' names, tuples as lists, pairs as objects."""
    for kind, written in _WRITTEN_OTHERWISE:
        if isinstance(value, kind):
            return written(value)
    if isinstance(value, tuple | list):
        return [_plain(entry) for entry in value]
    if not hasattr(value, "__dataclass_fields__"):
        return value
    fields = _fields(value)
    if isinstance(value, Placement):
        fields["turn"] = _number(value.turn)
        fields["locates"] = [{"part": part, "as": role} for part, role in value.locates]
    if isinstance(value, Change) and value.turn is not None:
        fields["turn"] = _number(value.turn)
    if isinstance(value, WeldSamples):
        fields["samples"] = [{"at": list(at), "torch": list(torch)} for at, torch in value.samples]
    if fields.get("station", 0) is None:
        del fields["station"]
    return fields


def _fields(value: Any) -> Plain:
    return {name: _plain(getattr(value, name)) for name in value.__dataclass_fields__}


def _prism(prism: Prism) -> Plain:
    document: Plain = {"outline": _plain(prism.outline), "from": prism.start, "to": prism.end}
    if prism.cutouts:
        document["cutouts"] = _plain(prism.cutouts)
    if prism.frame != IDENTITY:
        document["frame"] = _plain(prism.frame)
    if prism.cuts:
        document["cuts"] = _plain(prism.cuts)
    return document


_WRITTEN_OTHERWISE: tuple[tuple[type, Callable[[Any], Plain]], ...] = (
    (Prism, _prism), (Alternative, alternative_document), (VariantPlan, _variant), (Refused, _refused), (Mapping, dict),
)  # fmt: skip
"""Values whose documents have other fields than the values have, and how they are written."""
