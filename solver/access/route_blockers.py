"""Which candidates stand in the routes by which parts go in and the weldment comes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.hulls import Hulls, joined
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import EQUAL, HARDWARE_EASE, ROUND_TOUCH, RUNS_INTO
from solver.hardware.candidates import Candidate
from solver.hardware.screening import eased_further
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.straight_moves import Route


def route_blockers(
    movers: Sequence[int],
    routes: Sequence[Route],
    laid: LaidWeldment,
    candidates: Sequence[Candidate],
    hulls: Hulls,
    under: Hulls,
) -> list[Blocked]:
    """Return for each route of parts that move together what stands in it.

    `hulls` are the candidates' bodies with clamps open, `under` what carries their top pieces.

    A piece that touches a part in its place may slide along it; its carriers keep their distance.
    """
    clear = laid.rules["way.clear"]
    legs, of_route = _legs(routes)
    pieces: list[set[int]] = [set() for _ in legs]
    carriers: list[set[int]] = [set() for _ in legs]
    for mover in movers:
        look()
        body = laid.all_parts[mover].hulls
        swept = joined([body.shifted(start).swept(move).owned(leg) for leg, (start, move) in enumerate(legs)])
        touching = np.array([mover in candidate.parts and not candidate.clamp for candidate in candidates], dtype=bool)
        close = touching[hulls.owner]
        for others, gap, found in (
            (hulls.take(~close), clear + EQUAL, pieces),
            (_eased(mover, hulls.take(close), candidates), RUNS_INTO, pieces),
            (under, clear + EQUAL, carriers),
        ):
            i, j = box_pairs(swept.boxes, others.boxes, clear)
            hit = near(swept, i, others, j, gap)
            for leg, owner in set(zip(swept.owner[i[hit]].tolist(), others.owner[j[hit]].tolist(), strict=True)):
                found[leg].add(owner)
    found_in = [
        (frozenset().union(*(pieces[k] for k in own)), frozenset().union(*(carriers[k] for k in own))) for own in of_route
    ]
    return [Blocked(piece | carrier, carrier) for piece, carrier in found_in]


def swept_along(movers: Sequence[int], route: Route, laid: LaidWeldment) -> Hulls:
    """Return all that parts that move together sweep on a route; the owner is the part."""
    start, body, swept = np.zeros(3), joined([laid.all_parts[mover].hulls for mover in movers]), []
    for move in route.moves:
        swept.append(body.shifted(start).swept(move))
        start = start + move
    return joined(swept)


@dataclass(frozen=True)
class Blocked:
    """The candidates in a route, and those of them whose carriers are."""

    candidates: frozenset[int]
    carriers: frozenset[int]


def _legs(routes: Sequence[Route]) -> tuple[list[tuple[Array, Array]], list[list[int]]]:
    """Return the different straight moves of some routes, each with where it starts, and which of them each route makes."""
    known: dict[tuple[float, ...], int] = {}
    legs: list[tuple[Array, Array]] = []
    of_route = []
    for route in routes:
        own, start = [], np.zeros(3)
        for move in route.moves:
            number = known.setdefault((*start.tolist(), *move.tolist()), len(legs))
            if number == len(legs):
                legs.append((start, move))
            own.append(number)
            start = start + move
        of_route.append(own)
    return legs, of_route


def _eased(mover: int, hulls: Hulls, candidates: Sequence[Candidate]) -> Hulls:
    """Return touching candidates' bodies eased away from the part they touch, as far as their pads let them."""
    owners, of = np.unique(hulls.owner, return_inverse=True)
    shift, inside = np.zeros((len(owners), 3)), np.zeros(len(owners))
    for row, owner in enumerate(owners.tolist()):
        for meeting in candidates[owner].meetings:
            if meeting.part == mover and meeting.face.startswith("cutout:"):
                inside[row] = 1.0
            elif meeting.part == mover:
                shift[row] = eased_further(shift[row], meeting.normal)
    eased = hulls.shifted(shift[of])
    return eased.slimmer(inside[of] * eased.play(HARDWARE_EASE, ROUND_TOUCH)) if inside.any() else eased
