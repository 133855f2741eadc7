"""The variants of a request: each a weldment of its own, or the axis along which the request's own is mirrored."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Any

from pydantic import Field

from inventory import limits
from inventory.errors import Fault
from service.documents.reading.fields import Document, Name, Whole, Within
from service.documents.reading.reading import Reading
from service.documents.stored_weldments.stored_version import WeldmentNameDocument, nowhere_to_look
from service.documents.weldment import NamedOrWhole, examine, weldment_document
from solver.drafting.mirrored import mirrored
from solver.variants import Mirror, Variant, in_order_of, size_faults
from solver.weldment import Weldment

AT = "/variants"


class VariantDocument(Document):
    """One more weldment of the run: another size of the request's own, or its mirror image."""

    name: Annotated[Name, Field(description="what people call it, different from the other variants'")]
    quantity: Annotated[Whole, Within(limits.QUANTITY), Field(description="how many of it, 1 to 10,000,000")]
    weldment: Annotated[
        NamedOrWhole | None,
        Field(description="another size: the same parts, welds and section shapes in the same frame; or a stored one by its id"),
    ] = None
    mirror: Annotated[
        Mirror | None, Field(description="instead of a weldment: the request's own, mirrored along this axis of its frame")
    ] = None


def read_variants(reading: Reading[Any], weldment: Weldment | None, overlap: float) -> tuple[Variant, ...]:
    """Return the variants of a request, as far as they are sound.

    Parameters
    ----------
    reading : Reading
        The request; what is wrong with its variants is added to its faults.
    weldment : Weldment or None
        The request's own weldment, None while it is at fault.
    overlap : float
        How far parts may overlap, mm.
    """
    found: list[Variant] = []
    for k, entry in enumerate(reading.entries(AT)):
        at = f"{AT}/{k}"
        given = entry if isinstance(entry, dict) else {}
        if reading.sound(at):
            reading.add(_either(given), at)
        if given.get("weldment") is not None:
            examine(reading, f"{at}/weldment", overlap)
        variant = _variant(reading, at, weldment)
        found += [variant] if variant is not None else []
    return tuple(found)


def _either(given: dict[str, Any]) -> Iterator[Fault]:
    """Yield a variant that has neither a weldment nor a mirror axis, or both."""
    drawn, mirror = given.get("weldment") is not None, given.get("mirror") is not None
    if drawn and mirror:
        yield Fault("/mirror", "both weldment and mirror are given", "one of the two")
    elif not drawn and not mirror:
        yield Fault("/weldment", "the variant has neither weldment nor mirror", 'a weldment document, or "mirror": "x" or "y"')


def _variant(reading: Reading[Any], at: str, weldment: Weldment | None) -> Variant | None:
    document = reading.sound_model(at, VariantDocument)
    if document is None or weldment is None:
        return None
    drawn = document.weldment
    if isinstance(drawn, WeldmentNameDocument):
        reading.add(nowhere_to_look(reading.faults, f"{at}/weldment", drawn.id))
        return None
    other = reading.made(
        lambda: mirrored(weldment, document.mirror or "x") if drawn is None else drawn.to_domain(), f"{at}/weldment"
    )
    if other is None:
        return None
    other = in_order_of(weldment, other)
    reading.add(size_faults(weldment, other), f"{at}/weldment")
    if not reading.sound(at):
        return None
    return reading.made(lambda: Variant(document.name, document.quantity, other, document.mirror), at)


def names_given_twice(reading: Reading[Any]) -> Iterator[Fault]:
    """Yield variants that have the name of another one."""
    yield from limits.repeated_faults(reading.names(AT, "name"), "name")


def variant_documents(variants: Sequence[Variant]) -> list[dict[str, Any]]:
    """Return variants as the documents they are read from, in mm; of mirror images the axis alone."""
    return [
        {"name": variant.name, "quantity": variant.quantity}
        | ({"weldment": weldment_document(variant.weldment)} if variant.mirror is None else {"mirror": variant.mirror})
        for variant in variants
    ]
