"""What the hands take and set, as lines to read: the pieces in the order they are placed, the kit bin by bin."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from service.drawings.duties import duties
from service.drawings.placing_order import placing_order
from service.drawings.subject import Subject
from service.text import length
from solver.plans import KitLine


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """One piece to place: `where` is its hole or the piece it stands on, `setting` with its unit or empty, `turn` in degrees."""

    number: int
    piece: str
    station: int | None
    item: str
    name: str
    bin: str
    where: str
    turn: str
    setting: str
    does: str


def place_lines(subject: Subject) -> Iterator[PlaceLine]:
    """Yield a line for every piece, in the order they are placed; raises KeyError if the stock does not have an item."""
    does, units = duties(subject), subject.request.weldment.units
    bins = {line.item: line.bin for line in subject.alternative.kit}
    for number, one in enumerate(placing_order(subject.alternative), 1):
        yield PlaceLine(
            number, one.id, one.station, one.item, subject.stock.items[one.item].name, bins.get(one.item, ""),
            one.hole if one.hole is not None else f"on {one.stands_on}", f"{one.turn:g}",
            "" if one.setting_mm is None else length(one.setting_mm, units), does[one.id],
        )  # fmt: skip


def kit_by_bin(subject: Subject) -> list[KitLine]:
    """Return the kit as bins are walked by: A2 comes before A10."""
    return sorted(subject.alternative.kit, key=lambda line: (_natural(line.bin), _natural(line.item)))


def _natural(text: str) -> tuple[tuple[str, int], ...]:
    return tuple((word, int(number or 0)) for word, number in re.findall(r"([^0-9]*)([0-9]*)", text))
