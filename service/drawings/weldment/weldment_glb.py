"""A weldment in space, for viewers: binary glTF 2.0 with a node a part, a weld and a seam."""

from __future__ import annotations

from collections.abc import Iterator

from service.drawings.models.bodies import ModelBody, rods, under_own_names
from service.drawings.models.glb import glb_of
from service.drawings.weldment.shown_weldment import ShownWeldment
from solver.weldment import Weldment


def weldment_glb(shown: ShownWeldment) -> bytes | None:
    """Return the scene as a file; None if there is nothing to see yet."""
    bodies = tuple(_bodies(shown))
    return glb_of(bodies) if bodies else None


def scene_of(weldment: Weldment) -> bytes:
    """Return a weldment's parts and welds as a file, each under its id."""
    parts = (ModelBody(part.id, "part", (part.drawn,), {"id": part.id}) for part in weldment.parts)
    welds = (ModelBody(f"weld {weld.id}", "weld", tuple(rods(weld.path)), {"id": weld.id}) for weld in weldment.welds)
    return glb_of(tuple(under_own_names((*parts, *welds))))


def _bodies(shown: ShownWeldment) -> Iterator[ModelBody]:
    for number, part in shown.parts:
        yield ModelBody(f"part:{number}", "part", (part.drawn,), {"id": part.id})
    for number, weld in shown.welds:
        yield ModelBody(f"weld:{number}", "weld", tuple(rods(weld.path)), {"id": weld.id})
