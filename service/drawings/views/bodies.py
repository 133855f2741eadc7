"""Parts and pieces as bodies on paper: what is nearer lies over what is further, edges of pieces below others are dashed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory.shapes import Point2
from service.drawings.paper.marks import Box, Group, Mark, Stroke, name_of
from service.drawings.projection import Silhouette
from service.drawings.scene import DrawnPart, DrawnPiece, Scene
from service.drawings.views.outlook import Outlook, View
from service.text import length
from solver.weldment import LengthUnit

OUTER = "part outer"
"""The style of an outer body: a part whose outline is dashed."""


@dataclass(frozen=True, slots=True)
class SeenBody:
    """One solid of a part or a piece as a view shows it."""

    owner: DrawnPart | DrawnPiece
    shape: Silhouette
    style: str

    @property
    def of_part(self) -> bool:
        """Whether it is a part's, or an outer body; else it is a piece's."""
        return isinstance(self.owner, DrawnPart)

    @property
    def nearest(self) -> float:
        """How near it comes to the viewer, mm."""
        return self.shape.high


def bodies_of(scene: Scene, outlook: Outlook) -> tuple[SeenBody, ...]:
    """Return every solid of parts and pieces as it is seen from somewhere, those furthest from the viewer first."""
    found = [
        SeenBody(part, outlook.shape(solid), OUTER if part.outer else "part") for part in scene.parts for solid in part.solids
    ]
    found += [SeenBody(piece, outlook.shape(solid), piece.purpose) for piece in scene.pieces for solid in piece.solids]
    return tuple(sorted(found, key=lambda body: body.nearest))


def shown(bodies: Sequence[SeenBody], view: View) -> list[SeenBody]:
    """Return the bodies that a view's window shows."""
    return [body for body in bodies if Box(*body.shape.box).meets(view.window)]


def drawn_bodies(bodies: Sequence[SeenBody], view: View, prefix: str, units: LengthUnit = "mm") -> Iterator[Mark]:
    """Yield the bodies, each piece and part with its id and title; edges of pieces that reach below a part come last, dashed."""
    for number, body in enumerate(bodies):
        rings = tuple(view.ring(ring) for ring in body.shape.rings)
        sort = "part" if body.of_part else "piece"
        id, about = name_of(prefix, "body", number, body.owner.id), f"{sort}:{body.owner.id}"
        yield Group((Stroke(rings, body.style),), id, title_of(body.owner, units), about=about)
    parts = [body.shape for body in bodies if body.of_part]
    for body in bodies:
        if not body.of_part and any(body.shape.reaches_under(part) for part in parts):
            yield Stroke(tuple(view.ring(ring) for ring in body.shape.rings), "hidden")


def title_of(owner: DrawnPart | DrawnPiece, units: LengthUnit = "mm") -> str:
    """Return what a body is called where it is pointed at."""
    if isinstance(owner, DrawnPart):
        return f"outer body {owner.id}, set and held by hand" if owner.outer else f"part {owner.id}"
    setting = "" if owner.setting_mm is None else f", set {length(owner.setting_mm, units)}"
    return f"{owner.number}: {owner.id}, {owner.name}, {owner.place}, turned {owner.turn:g} degrees{setting}"


def visible_spots(owner: DrawnPart | DrawnPiece, bodies: Sequence[SeenBody], window: Box) -> list[Point2]:
    """Return points of a part or piece in a window that nothing nearer covers, mm as seen, those nearest its middle first."""
    found: list[tuple[float, Point2]] = []
    for index, body in enumerate(bodies):
        if body.owner is not owner:
            continue
        own = Box(*body.shape.box)
        middle = own.middle
        over = [
            (Box(*other.shape.box), other.shape)
            for other in bodies[index + 1 :]
            if other.owner is not owner and own.meets(Box(*other.shape.box))
        ]
        for x, y in _spots(body.shape):
            if not (window.left < x < window.right and window.top < y < window.bottom):
                continue
            if not any(box.left < x < box.right and box.top < y < box.bottom and shape.covers(x, y) for box, shape in over):
                found.append((abs(x - middle[0]) + abs(y - middle[1]), (x, y)))
    return [spot for _, spot in sorted(found)]


_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92)


def _spots(shape: Silhouette) -> Iterator[Point2]:
    """Yield points inside a shape, from its middle outwards."""
    x0, y0, x1, y1 = shape.box
    for across in _SHARES:
        for up in _SHARES:
            spot = x0 + across * (x1 - x0), y0 + up * (y1 - y0)
            if shape.covers(*spot):
                yield spot
