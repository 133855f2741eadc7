"""Weldments on a table, fixtures of a few stops made by hand, and the measures of their first article."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from inventory.shapes import Array, as_matrix
from inventory.stock import StockSnapshot
from solver.checks.scene.scene import Scene, set_scene
from solver.first_article import ArticleMeasure, first_article
from solver.first_article.prediction import both_readings
from solver.first_article.reach import FinishedWeldment
from solver.plans import Alternative, Cost, PartContact, PlacedPart, Placement, Station, Unload
from solver.request import Request
from solver.weldment import Part, Pose, Weldment
from tests import builders as b

STOCK = b.shelf((b.stop(), 12))
TURNS = {0: ((1, 0), (0, 1)), 90: ((0, -1), (1, 0)), 180: ((-1, 0), (0, -1)), 270: ((0, 1), (-1, 0))}


def lying(turn: int = 0, at: Sequence[float] = (400, 300, 0)) -> Array:
    """Return a lie as drawn, turned about the vertical, its origin at `at`."""
    place = np.eye(4)
    place[:2, :2], place[:3, 3] = TURNS[turn], at
    return place


def on_side(at: Sequence[float] = (400, 300, 0)) -> Array:
    """Return a lie with the weldment's -x down."""
    place = np.eye(4)
    place[:3, :3], place[:3, 3] = [[0, 0, -1], [0, 1, 0], [1, 0, 0]], at
    return place


def alternative(
    weldment: Weldment,
    place: Array | None = None,
    placements: Sequence[Placement] = (),
    contacts: Sequence[PartContact] = (),
    station: int | None = None,
) -> Alternative:
    """Return an alternative that says where the weldment lies, which pieces stand and what touches what."""
    own = Station(station, "-z", 0.0, as_matrix(lying() if place is None else place), Unload((), (), ()))
    parts = tuple(PlacedPart(part.id, (), ("table",), station) for part in weldment.parts)
    money = Cost(0, 0, 0, 0, 0, 0)
    return Alternative(
        1, "", "T1", money, 0, 0, (own,), parts, tuple(placements), tuple(contacts), (), (), (), (), ""
    )  # fmt: skip


def finished(weldment: Weldment, place: Array | None = None, **more: Any) -> FinishedWeldment:
    """Return the weldment as it is measured."""
    scene = scene_of(b.request(weldment), STOCK, alternative(weldment, place, **more))
    return FinishedWeldment(scene, both_readings(scene))


def scene_of(request: Request, stock: StockSnapshot, answer: Alternative) -> Scene:
    return set_scene(request, stock, request.rules, answer)


def measures(weldment: Weldment, place: Array | None = None, **more: Any) -> tuple[ArticleMeasure, ...]:
    """Return its first-article check."""
    return first_article(b.request(weldment), STOCK, alternative(weldment, place, **more))


def of_kind(kind: str, found: Sequence[ArticleMeasure]) -> list[ArticleMeasure]:
    return [measure for measure in found if measure.kind == kind]


def tee(leg: float = 300, at: float = 250) -> Weldment:
    """A leg square to a header 600 long, its middle `at` from the header's start; both 50 square."""
    parts = (b.tube("header", length=600), b.tube("leg", length=leg, at=(at, 25, 25), along=b.Y))
    return b.weldment(*parts, welds=[b.fillet("w1", ("header", "leg"), (at - 19, 25, 50), (at + 19, 25, 50))])


def frame(width: float = 800, depth: float = 500) -> Weldment:
    """Two rails along x over the whole width and two crosses between them, all 50 square."""
    rails = [b.tube(f"rail-{k}", length=width, at=(0, y, 25)) for k, y in ((1, 25), (2, depth - 25))]
    crosses = [b.tube(f"cross-{k}", length=depth - 100, at=(x, 50, 25), along=b.Y) for k, x in ((1, 125), (2, width - 125))]
    welds = [
        b.fillet(f"w{r}{c}", (f"rail-{r}", f"cross-{c}"), (x - 19, y, 50), (x + 19, y, 50))
        for r, y in ((1, 50), (2, depth - 50)) for c, x in ((1, 125), (2, width - 125))
    ]  # fmt: skip
    return b.weldment(*rails, *crosses, welds=welds)


def post_on_plate() -> Weldment:
    """A post 200 high in the middle of a plate 300 x 200 x 10, 10 mm off it to the right."""
    base, post = b.plate("base", (300, 200), 10), b.tube("post", length=200, at=(160, 100, 10), along=b.Z)
    return b.weldment(base, post, welds=[b.fillet("w1", ("base", "post"), (135, 85, 10), (135, 115, 10))])


def upright_plate(id: str, size: tuple[float, float], thickness: float, at: tuple[float, float, float]) -> Part:
    """A plate that stands across x: `size` along y and z, `thickness` along x, its lowest near corner at `at`."""
    flat = b.plate(id, size, thickness)
    return Part(id, flat.section, thickness, Pose(at, b.X, b.Z))
