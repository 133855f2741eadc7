"""Exact short answers: what no choice of hardware and no position could mend, found without a model."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from solver.access.torch import free_torch_directions
from solver.cost import free_pieces
from solver.deadline import Deadline
from solver.explain.figures import PartFigures
from solver.explain.retaken_positions import MOST_RANKED, phases_of, placed_by_part
from solver.explain.sentences import by_itself
from solver.explain.trials import relaxed
from solver.geometry.joints import OPEN_DEG
from solver.geometry.tolerances import CROSS, ON_TABLE, SLOPING
from solver.hardware.matching import Match
from solver.hardware.screening import FOLLOWS
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.laying.mass import mass_kg
from solver.plans import Reason
from solver.request import Request
from solver.rule_book import RELAXED
from solver.rule_book.book import RuleBook
from solver.search.orientation import Orientation, found_anew
from solver.search.search import Search

LOCATING = ("locate.side_face_ratio", "locate.pad_share", "locate.together")
"""Rules each of which alone may keep a part from being located wherever it stands."""
MOST_NAMED = 4
"""Reasons about fewer parts than so many name them as their subject."""
Shut = Mapping[str, Sequence[Array]]


def shut_welds(request: Request, shut: Shut) -> list[Reason]:
    """Return the welds that lie where no wedge between their parts is open, by the points drawn."""
    found = []
    for weld in request.weldment.welds:
        if weld.id in shut:
            at = ", ".join(f"{value:.4g}" for value in shut[weld.id][0])
            more, (one, other) = len(shut[weld.id]) - 1, weld.parts
            found.append(
                by_itself("torch.open_side", weld.id, request.rules, at=at, more=more, one=one, other=other, open_deg=OPEN_DEG)
            )
    return found


def screens(search: Search, deadline: Deadline) -> list[Reason]:
    """Return reasons each of which alone shuts out every fixture in every lie that was allowed; none if time runs out."""
    orientations = search.tried
    found = [*_tables(search, orientations), *_torch(search, orientations), *_sunk(search, orientations), *_order(orientations)]
    return found or list(_needs(search, orientations, deadline))


def _torch(search: Search, orientations: Sequence[Orientation]) -> Iterator[Reason]:
    """Yield welds that, in every lie, the torch cannot reach past parts and table somewhere."""
    welds, rules = search.request.weldment.without_bodies().welds, search.request.rules
    missing = [set(range(len(g.torch.samples))) - set(g.torch.sample.tolist()) for g in orientations]
    if not missing or not all(missing):
        return
    nearest = min(orientations, key=lambda orientation: orientation.torch.lacking)
    if nearest.torch.lacking < math.inf:
        yield from () if search.unseen else _too_low(search, nearest)
        return
    common = set.intersection(*missing) or set.union(*missing)
    everywhere = "in any lie allowed" if set.intersection(*missing) else "in one lie or another, and each lie has such a weld"
    everywhere += _but_for_hulls(orientations)
    for index, weld in enumerate(welds):
        own = [k for k in common if orientations[0].torch.samples[k].weld == index]
        if own:
            total = sum(sample.weld == index for sample in orientations[0].torch.samples)
            yield by_itself("torch.shut_in", weld.id, rules, shut=len(own), samples=total, where=everywhere)


def _but_for_hulls(orientations: Sequence[Orientation]) -> str:
    """Return in words that outer bodies shut welds in, where in some lie nothing else does; empty if they do not."""
    ids = [body.id for body in orientations[0].laid.bodies]
    if not ids or not any(free_torch_directions(replace(each.laid, bodies=())).lacking < math.inf for each in orientations):
        return ""
    return f"; past the parts alone, without the hull{'s' if len(ids) > 1 else ''} of {' and '.join(ids)}, there is room"


def _too_low(search: Search, orientation: Orientation) -> Iterator[Reason]:
    """Yield welds that the torch reaches past the parts of a lie, but not above the table, as high as anything carries it."""
    missing = set(range(len(orientation.torch.samples))) - set(orientation.torch.sample.tolist())
    for index, weld in enumerate(search.request.weldment.without_bodies().welds):
        own = [k for k, sample in enumerate(orientation.torch.samples) if sample.weld == index]
        shut = len(missing.intersection(own))
        if shut:
            higher = orientation.torch.lacking
            yield by_itself("torch.table", weld.id, search.request.rules, shut=shut, samples=len(own), higher=higher)


def _sunk(search: Search, orientations: Sequence[Orientation]) -> Iterator[Reason]:
    """Yield outer bodies that, in every lie and as high as anything carries the weldment, reach below the table's top."""
    if search.unseen or not orientations or not all(orientation.laid.sunk for orientation in orientations):
        return
    nearest = min(orientations, key=lambda orientation: orientation.laid.sunk)
    for body in nearest.laid.bodies:
        low = float(body.hulls.points[:, 2].min())
        if low < -ON_TABLE:
            yield by_itself("clear.table_top", body.id, search.request.rules, deep=-low)


def _order(orientations: Sequence[Orientation]) -> Iterator[Reason]:
    if orientations and all(orientation.laid.order is None for orientation in orientations):
        laid = orientations[0].laid
        ids = [laid.parts[index].id for index in laid.locked]
        subject = ", ".join(ids) if len(ids) < MOST_NAMED else "weldment"
        yield by_itself("load.order", subject, laid.rules, locked=f"{', '.join(ids[:-1])} and {ids[-1]}")


def _tables(search: Search, orientations: Sequence[Orientation]) -> Iterator[Reason]:
    """Yield, if no table is large or strong enough, why for each."""
    request, stock = search.request, search.stock
    mass = sum(mass_kg(part, request.rules[f"material.{part.material}_kg_per_m3"]) for part in request.weldment.parts)
    reasons = []
    for name in request.tables:
        table = stock.tables[name]
        sizes = [_least_size(orientation) for orientation in orientations]
        if table.max_load_kg is not None and mass > table.max_load_kg:
            reasons.append(by_itself("table.max_load", name, request.rules, mass=mass, bears=table.max_load_kg))
        elif (
            sizes
            and not any(_fits(size, table.size, orientation) for size, orientation in zip(sizes, orientations, strict=True))
            and _without_seat(search, name)
        ):
            least = min(sizes, key=max)
            (length, width), (needs_length, needs_width) = table.size, least
            reasons.append(
                by_itself(
                    "table.size", name, request.rules,
                    length=length, width=width, needs_length=needs_length, needs_width=needs_width,
                )
            )  # fmt: skip
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


def _without_seat(search: Search, table: str) -> bool:
    """Return whether a weldment lies whole on a table at none of the lattice positions that all else left standing.

    If it hangs over the edge at some, what hangs out is what no hardware could hold there.
    """
    seated = [fallen for fallen in search.fallen if fallen.homeless or fallen.position.seat is not None]
    own = [fallen for fallen in seated if fallen.position.table.id == table]
    return all(fallen.homeless or fallen.position.hung is not None for fallen in own)


def _needs(search: Search, orientations: Sequence[Orientation], deadline: Deadline) -> Iterator[Reason]:
    """Yield what some part needs and no free piece can give it, at any position of any lie allowed."""
    reachable = [
        g
        for g in orientations
        if g.laid.order is not None and not g.laid.sunk and len(set(g.torch.sample.tolist())) == len(g.torch.samples)
    ]
    per_ground: list[list[Reason]] = []
    for orientation in reachable:
        per_ground.append(list(_unmet(search, orientation)))
        if not per_ground[-1] or deadline.over:
            return
    if not per_ground:
        return
    told = {(reason.rule, reason.subject) for reason in per_ground[0]}
    common = [key for key in told if all(any((r.rule, r.subject) == key for r in reasons) for reasons in per_ground)]
    for reasons in per_ground if not common else per_ground[:1]:
        yield from (reason for reason in reasons if not common or (reason.rule, reason.subject) in common)


def _unmet(search: Search, orientation: Orientation) -> Iterator[Reason]:
    """Yield the needs of parts that no stack of a lie meets, whatever the lattice."""
    laid, request, stock = orientation.laid, search.request, search.stock
    if not any(orientation.stacks[match.stack].push is not None for match in orientation.found):
        yield by_itself("clamp.per_length", "weldment", request.rules)
    shut = _shut_by_one(search, orientation)
    for part in laid.parts:
        if part.index in shut:
            yield _by_one(shut[part.index], part.id, request.rules, PartFigures(laid, part))
            continue
        own = [
            match for match in orientation.found if match.face.part == part.index and orientation.stacks[match.stack].push is None
        ]
        following = [match for match in own if _follows(orientation, match, laid, part)]
        if not _two_ways(orientation, own, part):
            others = _level(own, orientation, part)
            yield by_itself("locate.end" if others else "locate.side", part.id, request.rules, PartFigures(laid, part))
        elif not _two_ways(orientation, following, part):
            yield _open(part, request, stock, len(own) - len(following))
        carried = any(touch.normal[2] > 0.5 for touch in laid.touches_of(part.index))
        if not carried and not any(match.pad.normal[2] > 0.5 for match in own):
            yield by_itself("locate.support", part.id, request.rules, PartFigures(laid, part))


def _by_one(rule: str, part: str, rules: RuleBook, figures: PartFigures) -> Reason:
    if rule == "locate.together":
        return by_itself("locate.together", part, rules, figures)
    return by_itself("locate.pad_share" if rule == "locate.pad_share" else "locate.side_face_ratio", part, rules, figures)


def _shut_by_one(search: Search, orientation: Orientation) -> dict[int, str]:
    """Return the parts (by index) that nothing locates at any lattice position, and pieces would but for one rule: which."""
    phases = phases_of(orientation)
    if len(phases) >= MOST_RANKED:  # not all of them: what is told of these need not hold of the others
        return {}
    nowhere = np.isinf(placed_by_part(orientation.bounds, phases)).all(axis=0)
    found: dict[int, str] = {}
    for rule in LOCATING:
        asked = relaxed(search.request, rule, RELAXED[rule].most)
        if not nowhere.any() or RELAXED[rule].allows(search.request.rules[rule]):
            continue
        easier = found_anew(asked, search.stock, orientation, search.shelf(orientation.bounds.pitch))
        freed = nowhere & np.isfinite(placed_by_part(easier.bounds, phases_of(easier))).any(axis=0)
        found |= dict.fromkeys(np.flatnonzero(freed).tolist(), rule)
        nowhere &= ~freed
    return found


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
    return by_itself("open_dimensions.follow", part.id, request.rules, over=asked, pads=dropped, longest=longest)


def stopped(search: Search, what: str) -> Reason:
    """Return the honest reason that the search ended without a plan and without a proof that counts."""
    tally, proofs = search.tally, sum(fallen.program is not None for fallen in search.fallen)
    return by_itself(
        f"search.{what}", "weldment", search.request.rules,
        positions=tally.positions, surveyed=tally.surveyed, built=tally.built, proofs=proofs, dropped=tally.dropped,
    )  # fmt: skip
