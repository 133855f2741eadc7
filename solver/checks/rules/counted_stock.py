"""Whether the pieces used are there: stock, `without`, kit list, lead times, and the table's load."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import timedelta

from inventory.stock import StockSnapshot
from solver.checks.report import at_most, fail, passed, summary
from solver.checks.scene.scene import Scene
from solver.plans import Finding
from solver.request import Request


def used(scenes: Sequence[Scene]) -> Counter[str]:
    """Return how many pieces of each item stand on the table, all stations together, for whichever variant takes most."""
    standing = Counter(piece.item.id for scene in scenes for piece in scene.pieces.values())
    for run in scenes[0].runs:
        standing |= Counter(piece.item.id for piece in run.pieces.values())
    return standing


def usable(request: Request, stock: StockSnapshot, item: str) -> int:
    """Return the pieces of an item the request may use: none promised to others, out of service or left out."""
    line = stock.lines.get(item)
    if line is None:
        return 0
    to_others = line.reserved - min(line.reserved, request.held.get(item, 0))
    left = line.count - line.out_of_service - to_others
    return max(0, max(0, left) - request.without.items.get(item, 0))


def free(scene: Scene, item: str) -> int:
    """Return the pieces of an item the request of a scene may use."""
    return usable(scene.request, scene.stock, item)


def missing(scenes: Sequence[Scene]) -> dict[str, int]:
    """Return the pieces that are bought, by item; none where a shortage is refused."""
    if scenes[0].request.shortage == "refuse":
        return {}
    short = {item: count - free(scenes[0], item) for item, count in used(scenes).items()}
    return {item: count for item, count in short.items() if count > 0}


def check_counted(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield whether every piece is free or may be bought in time, the kit lists what stands, and the table bears the load."""
    scene = scenes[0]
    for item, count in sorted(used(scenes).items()):
        have = free(scene, item)
        if scene.request.shortage == "refuse" or count <= have:
            yield at_most("stock.counted", item, count, have, "pieces", f"{item}: {count} needed, {have} free")
    yield from _bought(scenes)
    yield from summary("kit.lines", "kit", _kit(scenes))
    yield from check_load(scenes)


def _bought(scenes: Sequence[Scene]) -> Iterator[Finding]:
    request, stock = scenes[0].request, scenes[0].stock
    if request.today is None:
        for item in missing(scenes):
            yield passed("stock.lead_time", item, "today is not given: lead times are not checked")
        return
    start = request.needed[0] if request.needed else request.today
    for item, count in missing(scenes).items():
        ready = request.today + timedelta(days=stock.items[item].lead_days)
        text = f"{count} to buy, there on {ready.isoformat()}, needed on {start.isoformat()}"
        yield fail("stock.lead_time", item, text) if ready > start else passed("stock.lead_time", item, text)


def _kit(scenes: Sequence[Scene]) -> Iterator[Finding]:
    scene, need, short = scenes[0], used(scenes), missing(scenes)
    listed = Counter[str]()
    for line in scene.answer.kit:
        listed[line.item] += line.count
    for item in sorted(set(need) | set(listed)):
        if need[item] != listed[item]:
            yield fail("kit.lines", item, f"kit lists {listed[item]}, the plan uses {need[item]}", listed[item], need[item])
    for line in scene.answer.kit:
        shelf = scene.stock.lines.get(line.item)
        if shelf is not None and line.bin != shelf.bin:
            yield fail("kit.lines", line.item, f"kit says bin {line.bin!r}, the stock {shelf.bin!r}")
        if line.buy and line.buy != short.get(line.item, 0):
            yield fail("kit.lines", line.item, f"kit buys {line.buy}, {short.get(line.item, 0)} are missing")


def check_load(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield whether the table bears the parts and the hardware that stand on it."""
    scene = scenes[0]
    if scene.table.max_load_kg is None:
        return
    parts = sum(part.inertia.mass for scene in scenes for part in scene.all_parts.values())
    hardware = sum(piece.item.mass_kg for scene in scenes for piece in scene.pieces.values())
    yield at_most("table.max_load", scene.table.id, parts + hardware, scene.table.max_load_kg, "kg", "parts and hardware", 1e-3)
