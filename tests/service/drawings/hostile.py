"""The example plan under names that no file format was made for: long, from right to left, with signs that mean something."""

from __future__ import annotations

from dataclasses import replace

from inventory.stock import StockSnapshot
from service.drawings.subject import Subject
from solver.plans import Alternative, KitLine
from solver.request import Request
from solver.weldment import Weldment
from tests.service.drawings.example import alternative, question, stock

NAMES = (
    '=HYPERLINK("http://x","y");\'--',
    "\u05e7\u05d5\u05e8\u05d4 \u0645\u0642\u0637\u0639 \u202eabc",
    "\U0001f600\U0001f9f0" * 32,
    "^J%%d%%%c \\U+0041 \\M+1ABCD \\X2\\0041\\X0\\ \\P{}",
    "a,b;c\"d'e<f>&g|h / 1",
)
"""Ids of parts and pieces, 64 characters at most."""
WELDMENT = ("\U0001f600 \u05e7 'x' \\U+0041 %%c ^I =1+1 " * 20)[:200]
FIRST, SECOND, STOP, WELD, CLAMP = NAMES


def hostile_subject() -> Subject:
    """The example plan, its ids and names changed."""
    return Subject(_alternative(), _question(), _stock())


def _stock() -> StockSnapshot:
    plain = stock()
    items = {id: replace(item, id=_item(id), name=WELDMENT) for id, item in plain.items.items()}
    return replace(plain, items={item.id: item for item in items.values()}, lines={})


def _item(id: str) -> str:
    return {"stop": STOP, "clamp": CLAMP}.get(id, id)


def _question() -> Request:
    asked = question()
    plain = asked.weldment
    parts = tuple(replace(part, id=name) for part, name in zip(plain.parts, (FIRST, SECOND), strict=True))
    welds = tuple(replace(weld, id=WELD, parts=(FIRST, SECOND)) for weld in plain.welds)
    return replace(asked, weldment=Weldment(parts, welds, name=WELDMENT))


def _alternative() -> Alternative:
    plain = alternative()
    parts = tuple(replace(part, id=name) for part, name in zip(plain.parts, (FIRST, SECOND), strict=True))
    placements = tuple(
        replace(
            piece, id=CLAMP if piece.id == "p4" else piece.id, item=_item(piece.item),
            locates=tuple((FIRST, role) for _, role in piece.locates),
            contacts=tuple(replace(contact, part=FIRST) for contact in piece.contacts),
        )
        for piece in plain.placements
    )  # fmt: skip
    kit = tuple(KitLine(_item(line.item), line.count, "@A1", name=WELDMENT) for line in plain.kit)
    stations = tuple(replace(one, unload=replace(one.unload, open=(CLAMP,))) for one in plain.stations)
    return replace(plain, title="=cheapest", parts=parts, placements=placements, kit=kit, stations=stations)
