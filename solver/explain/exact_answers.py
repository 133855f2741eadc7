"""Exact short answers: what no choice of hardware and no position could mend, found without a model."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from solver.cost import free_pieces
from solver.explain.sentences import Reason
from solver.geometry.joints import OPEN_DEG
from solver.geometry.tolerances import CROSS, SLOPING
from solver.hardware.matching import Match
from solver.hardware.screening import FOLLOWS
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.laying.mass import mass_kg
from solver.request import Request
from solver.search.orientation import Orientation
from solver.search.search import Search

MOST_NAMED = 4
"""Reasons about fewer parts than so many name them as their subject."""
Shut = Mapping[str, Sequence[Array]]


def shut_welds(request: Request, shut: Shut) -> list[Reason]:
    """Return the welds that lie where no wedge between their parts is open, by the points drawn."""
    found = []
    for weld in request.weldment.welds:
        if weld.id in shut:
            at = ", ".join(f"{value:.4g}" for value in shut[weld.id][0])
            text = (
                f"weld {weld.id}: at ({at}) as drawn, and {len(shut[weld.id]) - 1} more places, no side between "
                f"{weld.parts[0]} and {weld.parts[1]} is open wider than {OPEN_DEG:g} deg; no hardware can change that"
            )
            found.append(Reason("torch.open_side", weld.id, text))
    return found


def screens(search: Search) -> list[Reason]:
    """Return reasons each of which alone shuts out every fixture in every lie that was allowed."""
    orientations = search.tried
    found = [*_tables(search, orientations), *_torch(search, orientations), *_order(orientations)]
    return found or list(_needs(search, orientations))


def _torch(search: Search, orientations: Sequence[Orientation]) -> Iterator[Reason]:
    """Yield welds that, in every lie, the torch cannot reach past parts and table somewhere."""
    welds, rules = search.request.weldment.welds, search.request.rules
    missing = [set(range(len(g.torch.samples))) - set(g.torch.sample.tolist()) for g in orientations]
    if not missing or not all(missing):
        return
    nearest = min(orientations, key=lambda orientation: orientation.torch.lacking)
    if nearest.torch.lacking < math.inf:
        yield from () if search.unseen else _too_low(search, nearest)
        return
    common = set.intersection(*missing) or set.union(*missing)
    everywhere = "in any lie allowed" if set.intersection(*missing) else "in one lie or another, and each lie has such a weld"
    for index, weld in enumerate(welds):
        own = [k for k in common if orientations[0].torch.samples[k].weld == index]
        if own:
            total = sum(sample.weld == index for sample in orientations[0].torch.samples)
            text = (
                f"weld {weld.id}: at {len(own)} of {total} samples no torch direction within "
                f"{rules['torch.work_tolerance']:g} deg of the bisector and {rules['torch.travel_angle']:g} deg along the weld "
                f"leaves torch and hand room past the parts and the table, {everywhere}; no hardware can change that"
            )
            yield Reason("torch.shut_in", weld.id, text)


def _too_low(search: Search, orientation: Orientation) -> Iterator[Reason]:
    """Yield welds that the torch reaches past the parts of a lie, but not above the table, as high as anything carries it."""
    missing = set(range(len(orientation.torch.samples))) - set(orientation.torch.sample.tolist())
    for index, weld in enumerate(search.request.weldment.welds):
        own = [k for k, sample in enumerate(orientation.torch.samples) if sample.weld == index]
        shut = len(missing.intersection(own))
        if shut:
            text = (
                f"weld {weld.id}: at {shut} of {len(own)} samples the table leaves torch and hand no room; the weldment would "
                f"have to lie {orientation.torch.lacking:.4g} mm higher, and no free rest or V-block, alone or on a riser, "
                "carries it"
            )
            yield Reason("torch.table", weld.id, text)


def _order(orientations: Sequence[Orientation]) -> Iterator[Reason]:
    if orientations and all(orientation.laid.order is None for orientation in orientations):
        laid = orientations[0].laid
        ids = [laid.parts[index].id for index in laid.locked]
        text = (
            f"{', '.join(ids[:-1])} and {ids[-1]} lock each other: none of them has a way in or out past the others, lowered "
            "straight, from the side or over an edge, in any lie allowed; no hardware can change that"
        )
        yield Reason("load.order", ", ".join(ids) if len(ids) < MOST_NAMED else "weldment", text)


def _tables(search: Search, orientations: Sequence[Orientation]) -> Iterator[Reason]:
    """Yield, if no table is large or strong enough, why for each."""
    request, stock = search.request, search.stock
    mass = sum(mass_kg(part, request.rules[f"material.{part.material}_kg_per_m3"]) for part in request.weldment.parts)
    reasons = []
    for name in request.tables:
        table = stock.tables[name]
        sizes = [_least_size(orientation) for orientation in orientations]
        if table.max_load_kg is not None and mass > table.max_load_kg:
            reasons.append(
                Reason(
                    "table.max_load", name, f"table {name}: the weldment weighs {mass:.4g} kg, {table.max_load_kg:g} kg allowed"
                )
            )
        elif sizes and not any(
            _fits(size, table.size, orientation) for size, orientation in zip(sizes, orientations, strict=True)
        ):
            least = min(sizes, key=max)
            text = (
                f"table {name}: {table.size[0]:g} x {table.size[1]:g} mm, the weldment needs {least[0]:.5g} x {least[1]:.5g} mm"
            )
            reasons.append(Reason("table.size", name, text))
        else:
            return
    yield from reasons


def _least_size(orientation: Orientation) -> tuple[float, float]:
    size = np.ptp(orientation.laid.bounds[:, :2], axis=0)
    return float(size[0]), float(size[1])


def _fits(size: tuple[float, float], room: tuple[float, float], orientation: Orientation) -> bool:
    turned = any(round((turn - orientation.lie.turn) / 90.0) % 2 for turn in orientation.lie.same_turns)
    return all(a <= b + 1e-6 for a, b in zip(size, room, strict=True)) or (
        turned and all(a <= b + 1e-6 for a, b in zip(size[::-1], room, strict=True))
    )


def _needs(search: Search, orientations: Sequence[Orientation]) -> Iterator[Reason]:
    """Yield what some part needs and no free piece can give it, at any position of any lie allowed."""
    reachable = [
        g for g in orientations if g.laid.order is not None and len(set(g.torch.sample.tolist())) == len(g.torch.samples)
    ]
    per_ground = [list(_unmet(orientation, search.request, search.stock)) for orientation in reachable]
    if not per_ground or not all(per_ground):
        return
    told = {(reason.rule, reason.subject) for reason in per_ground[0]}
    common = [key for key in told if all(any((r.rule, r.subject) == key for r in reasons) for reasons in per_ground)]
    for reasons in per_ground if not common else per_ground[:1]:
        yield from (reason for reason in reasons if not common or (reason.rule, reason.subject) in common)


def _unmet(orientation: Orientation, request: Request, stock: StockSnapshot) -> Iterator[Reason]:
    """Yield the needs of parts that no stand of a lie meets, whatever the lattice."""
    laid = orientation.laid
    if not any(orientation.stacks[match.stack].push is not None for match in orientation.found):
        yield Reason("clamp.per_length", "weldment", "no free clamp reaches any part from any hole")
    for part in laid.parts:
        own = [
            match for match in orientation.found if match.face.part == part.index and orientation.stacks[match.stack].push is None
        ]
        following = [match for match in own if _follows(orientation, match, laid, part)]
        low, high = part.extent(np.array([0.0, 0.0, 1.0]))
        where = f"{low:.4g} to {high:.4g} mm above the table"
        if not _two_ways(orientation, own, part):
            ways = len(_level(own, orientation, part))
            text = (
                f"{part.id}: no free piece, alone or on risers, meets {'another' if ways else 'any'} upright face of it, {where}"
            )
            yield Reason("locate.end" if ways else "locate.side", part.id, text)
        elif not _two_ways(orientation, following, part):
            yield _open(part, request, stock, len(own) - len(following))
        carried = any(touch.normal[2] > 0.5 for touch in laid.touches_of(part.index))
        if not carried and not any(match.pad.normal[2] > 0.5 for match in own):
            text = f"{part.id}: nothing carries it, and no free rest, alone or on risers, reaches it {low:.4g} mm above the table"
            yield Reason("locate.support", part.id, text)


def _level(own: Sequence[Match], orientation: Orientation, part: LaidPart) -> list[Array]:
    """Return the level directions (unit) in which something can locate a part."""
    normals = [match.pad.normal for match in own]
    normals += [touch.normal for touch in orientation.laid.touches_of(part.index) if abs(float(touch.normal[2])) < 1e-6]
    flat = [normal[:2] / np.linalg.norm(normal[:2]) for normal in normals if float(np.hypot(normal[0], normal[1])) > SLOPING]
    return list(np.unique(np.round(flat, 4), axis=0)) if flat else []


def _two_ways(orientation: Orientation, own: Sequence[Match], part: LaidPart) -> bool:
    found = _level(own, orientation, part)
    return any(abs(float(a @ b)) <= CROSS for a in found for b in found)


def _follows(orientation: Orientation, match: Match, laid: LaidWeldment, part: LaidPart) -> bool:
    """Return whether a pad can follow every open dimension of its part that it looks along."""
    for dimension in laid.weldment.open_dimensions:
        direction = laid.rotation @ np.array(dimension.direction)
        if dimension.part != part.id or abs(float(match.pad.normal @ direction)) < FOLLOWS:
            continue
        travel = orientation.stacks[match.stack].travel
        gain = 0.0 if travel is None or not match.pad.moves else abs(float(match.pad.normal @ travel.axis))
        asked = abs(float(match.pad.normal @ direction)) * (dimension.high - dimension.low)
        if travel is None or gain < 1e-6 or asked / gain > travel.length + 1e-6:
            return False
    return True


def _open(part: LaidPart, request: Request, stock: StockSnapshot, dropped: int) -> Reason:
    asked = max(d.high - d.low for d in request.weldment.open_dimensions if d.part == part.id)
    slides = [
        item.slide.high - item.slide.low
        for item in stock.items.values()
        if item.slide is not None and free_pieces(request, stock, item.id)
    ]
    longest = f"the longest slide of a free piece is {max(slides):g} mm" if slides else "no free piece has a slide"
    text = f"{part.id}: its open dimension runs over {asked:g} mm; of {dropped} pads that meet it there none follows; {longest}"
    return Reason("open_dimensions.follow", part.id, text)


def stopped(search: Search, what: str) -> Reason:
    """Return the honest reason that the search ended without a plan and without a proof that counts."""
    tally, proofs = search.tally, sum(fallen.program is not None for fallen in search.fallen)
    done = f"of {tally.positions} positions {tally.surveyed} surveyed, {tally.built} tried, {proofs} proved impossible"
    why = {
        "time": "the time ran out",
        "work": "the work limit was reached",
        "cancel": "the search was cancelled",
        "check": f"{tally.dropped} fixtures were found and refused by the independent checker, a fault of this program",
        "witness": "two solvers disagree on a position, a fault of this program",
    }[what]
    return Reason(f"search.{what}", "weldment", f"{why}: {done}; neither a plan nor a proof")
