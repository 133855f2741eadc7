"""The formats items of the catalogue can be had in, one line each."""

from __future__ import annotations

from service.drawings.dxf.item_plans import items_dxf
from service.drawings.file_format import FileFormat, Formats
from service.drawings.items.item_sheet import items_svg
from service.drawings.items.item_step import items_step
from service.drawings.items.shown_items import ShownItems
from service.drawings.models.step import LIBRARY

ITEM_FORMATS: Formats[ShownItems] = {
    each.name: each
    for each in (
        FileFormat("svg", "image/svg+xml", ".svg", items_svg, use="views from above and the sides with pegs and pads"),
        FileFormat("dxf", "image/vnd.dxf", ".dxf", items_dxf, use="view from above in layers, for drawing programs"),
        FileFormat("step", "model/step", ".step", items_step, needs=LIBRARY, use="solids, for CAD"),
    )
}
"""Every format of items, by name, in the order they are offered."""
