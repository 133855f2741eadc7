"""A weldment as an assembly for programs of construction: STEP, a product a part, named by its id, with true arcs."""

from __future__ import annotations

from service.drawings.models.bodies import ModelBody
from service.drawings.models.curved_solids import of_part
from service.drawings.models.step import step_of
from solver.weldment import Weldment


def weldment_step(weldment: Weldment) -> bytes:
    """Return a weldment's parts where it has them, mm, as a file; welds are not in it.

    Raises
    ------
    NotInstalled
        If the library is not there.
    """
    shown = tuple(ModelBody(part.id, "part", (part.drawn,), {"id": part.id}, (of_part(part),)) for part in weldment.parts)
    return step_of(weldment.name or "weldment", shown, "weldment")
