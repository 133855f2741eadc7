"""Items as solid bodies for programs of construction: STEP, a product a solid, named by item and number."""

from __future__ import annotations

from collections.abc import Iterator

from inventory.items import KINDS
from service.drawings.items.shown_items import ShownItems, at_place, laid_out, solid_names
from service.drawings.models.bodies import ModelBody, under_own_names
from service.drawings.models.curved_solids import of_piece
from service.drawings.models.step import step_of


def items_step(shown: ShownItems) -> bytes:
    """Return items as a file: one alone in its own frame, under its id; many beside each other.

    Slides and clamps are at the setting 0.

    Raises
    ------
    NotInstalled
        If the library is not there.
    """
    name = shown.items[0].id if len(shown.items) == 1 else "catalogue"
    return step_of(name, tuple(under_own_names(_bodies(shown))), "fixture hardware")


def _bodies(shown: ShownItems) -> Iterator[ModelBody]:
    for item, place in laid_out(shown):
        for name, solid in zip(solid_names(item), item.solids, strict=True):
            prism = at_place(solid.prism, place)
            yield ModelBody(name, KINDS[item.kind].purpose, (prism,), {"item": item.id}, (of_piece(prism),))
