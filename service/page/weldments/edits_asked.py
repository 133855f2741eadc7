"""Which edit each form of the screen asks for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from service.page.weldments.chosen import Chosen
from service.weldments import parts, placings, requirements, welds, whole
from service.weldments.edited import Edited

Fields = Mapping[str, str]
Asked = Callable[[Mapping[str, Any], Chosen, Fields], Edited]
_EDITS: Mapping[str, tuple[str | None, Asked]] = {
    "name": (None, lambda document, chosen, form: whole.name_weldment(document, form.get("weldment_name", ""))),
    "units": (None, lambda document, chosen, form: whole.change_units(document, form.get("units", ""))),
    "add-part": (None, lambda document, chosen, form: parts.add_part(document, form)),
    "change-part": ("part", lambda document, chosen, form: parts.change_part(document, chosen.number, form)),
    "copy-part": ("part", lambda document, chosen, form: parts.copy_part(document, chosen.number)),
    "remove-part": ("part", lambda document, chosen, form: parts.remove_part(document, chosen.number)),
    "place-part": ("part", lambda document, chosen, form: placings.place_part(document, chosen.number, form)),
    "put-on-top": ("part", lambda document, chosen, form: placings.put_on_top(document, chosen.number, form)),
    "move-part": ("part", lambda document, chosen, form: placings.move_part(document, chosen.number, form)),
    "turn-part": ("part", lambda document, chosen, form: placings.turn_part(document, chosen.number, form)),
    "add-weld": ("seam", lambda document, chosen, form: welds.add_welds(document, [chosen.number])),
    "add-welds": (None, lambda document, chosen, form: welds.add_welds(document, None, _between(form), form.get("kind", ""))),
    "change-weld": ("weld", lambda document, chosen, form: welds.change_weld(document, chosen.number, form)),
    "remove-weld": ("weld", lambda document, chosen, form: welds.remove_weld(document, chosen.number, form.get("which", "this"))),
    "add-tolerance": (None, lambda document, chosen, form: requirements.add_tolerance(document, form)),
    "change-tolerance": (
        "tolerance", lambda document, chosen, form: requirements.change_tolerance(document, chosen.number, form),
    ),
    "remove-tolerance": (
        "tolerance", lambda document, chosen, form: requirements.remove_requirement(document, "tolerances", chosen.number),
    ),
    "add-open": (None, lambda document, chosen, form: requirements.add_open_dimension(document, form)),
    "change-open": ("open", lambda document, chosen, form: requirements.change_open_dimension(document, chosen.number, form)),
    "remove-open": (
        "open", lambda document, chosen, form: requirements.remove_requirement(document, "open_dimensions", chosen.number),
    ),
}  # fmt: skip
"""By the form's field ``do``: what must be picked for it, and the edit."""


def edit_asked(do: str, chosen: Chosen, form: Fields) -> Callable[[Mapping[str, Any]], Edited]:
    """Return the edit that a form asks for; raises InvalidDocument if there is none such."""
    wanted, edit = _EDITS.get(do, (None, None))
    if edit is None or (wanted is not None and chosen.kind != wanted):
        accepted = "a form of this page" if edit is None else f"a {wanted} picked first"
        raise InvalidDocument([Fault("", f"{shown(do)} cannot be done here", accepted)])
    return lambda document: edit(document, chosen, form)


def _between(form: Fields) -> tuple[str, ...]:
    pair = tuple(form[name] for name in ("one", "other") if form.get(name))
    return pair if len(pair) == 2 else ()
