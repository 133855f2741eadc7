"""The plan as one table for other programs: a row for every placement in the order the hands place them, then one a kit line."""

from __future__ import annotations

from collections.abc import Iterator

from service.drawings.duties import duties
from service.drawings.placing_order import placing_order
from service.drawings.subject import Subject
from service.exchange.cells import table
from solver.plans import Placement

COLUMNS = (
    "record", "number", "piece", "station", "item", "name", "bin", "hole", "on", "turn", "setting_mm", "does", "count", "buy",
)  # fmt: skip
"""`record` is ``placement``, ``setting`` with a variant's name, or ``kit``.

`count` and `buy` stand in kit rows alone, so that a column can be summed."""


def as_csv(subject: Subject) -> bytes:
    """Return placements and kit as CSV: turns in degrees, settings in mm, decimal points.

    Raises
    ------
    KeyError
        If the alternative names an item the stock does not have.
    """
    return table((COLUMNS, *_placements(subject), *_settings(subject), *_kit(subject)))


def _placements(subject: Subject) -> Iterator[tuple[str | float, ...]]:
    bins, does = {line.item: line.bin for line in subject.alternative.kit}, duties(subject)
    for number, piece in enumerate(placing_order(subject.alternative), 1):
        item = subject.stock.items[piece.item]
        yield (
            "placement", number, piece.id, piece.station or "", item.id, item.name, bins.get(item.id, ""),
            piece.hole or "", piece.stands_on or "", _number(piece.turn),
            "" if piece.setting_mm is None else _number(piece.setting_mm),
            does[piece.id], "", "",
        )  # fmt: skip


def _settings(subject: Subject) -> Iterator[tuple[str | float, ...]]:
    """Yield every piece with a setting, or that stands elsewhere, once for each variant, in the order the variants run."""
    before = {piece.id: piece for piece in subject.alternative.placements}
    for variant in subject.alternative.variants:
        for number, piece in enumerate(variant.placements, 1):
            stays = piece.id in before and (piece.hole, piece.stands_on, piece.turn) == _standing(before[piece.id])
            if piece.setting_mm is None and stays:
                continue
            item = subject.stock.items[piece.item]
            yield (
                f"setting {variant.name}", number, piece.id, "", item.id, item.name, "", piece.hole or "", piece.stands_on or "",
                _number(piece.turn), "" if piece.setting_mm is None else _number(piece.setting_mm), "", "", "",
            )  # fmt: skip


def _standing(piece: Placement) -> tuple[str | None, str | None, float]:
    return piece.hole, piece.stands_on, piece.turn


def _kit(subject: Subject) -> Iterator[tuple[str | float, ...]]:
    for line in subject.alternative.kit:
        name = line.name or subject.stock.items[line.item].name
        yield ("kit", "", "", "", line.item, name, line.bin, "", "", "", "", "", line.count, line.buy)


def _number(value: float) -> float:
    """Return a number to a thousandth, a whole one without a fraction."""
    rounded = round(value, 3)
    return int(rounded) if rounded == int(rounded) else rounded
