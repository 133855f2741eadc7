"""What a DXF drawing is made with: an empty document with its layers, text and dimension style, and the blocks of the holes."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from inventory.items import Purpose
from inventory.tables import Table
from service.drawings.dxf.texts import APPLICATION
from service.text import MM_PER_INCH

if TYPE_CHECKING:
    from ezdxf.document import Drawing

LAYERS: Mapping[str, tuple[int, int]] = {
    "TABLE": (8, 25),
    "HOLES": (9, 13),
    "PARTS": (7, 35),
    "LOCATORS": (142, 25),
    "CLAMPS": (42, 25),
    "CARRIERS": (43, 25),
    "WELDS": (230, 50),
    "CONTACTS": (6, 18),
    "DIMENSIONS": (8, 13),
    "TEXT": (7, 18),
}
"""Every layer with its colour (AutoCAD colour index, seen on white and on black) and its line weight (hundredths of a mm)."""
LAYER_OF: Mapping[Purpose, str] = {"locator": "LOCATORS", "clamp": "CLAMPS", "carrier": "CARRIERS"}
STYLE = "HOLDWRIGHT"
"""Of texts and of dimensions."""
HOLE, BLOCKED_HOLE = "HOLE", "HOLE_BLOCKED"
MILLIMETRES = 4

_BY_LAYER = 256
_WITHOUT_LAST_ZEROS = 8


def blank(table: Table, units: str) -> Drawing:
    """Return an empty R2010 drawing in millimetres for a table; dimensions show lengths in `units`, ``mm`` or ``inch``."""
    drawing = empty(LAYERS, text_height(table), units)
    _add_hole_blocks(drawing, table.hole_diameter / 2)
    return drawing


def empty(layers: Mapping[str, tuple[int, int]], height: float, units: str) -> Drawing:
    """Return an empty R2010 drawing in millimetres with layers as `LAYERS` has them, and dimensions with texts so high, mm."""
    import ezdxf

    # Every id, date and mark of the file is then the same each time.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    drawing = ezdxf.new("R2010", units=MILLIMETRES)
    drawing.appids.add(APPLICATION)
    for name, (colour, weight) in layers.items():
        drawing.layers.add(name, color=colour, lineweight=weight)
    drawing.styles.add(STYLE, font="DejaVuSans.ttf")
    drawing.dimstyles.add(STYLE, dxfattribs=_dimension_style(height, units))
    return drawing


def file_of(drawing: Drawing) -> str:
    """Return a drawing as a file, the same every time."""
    # Classes are written in the order they were added; the library adds those in use in the order of a set.
    for name in sorted(drawing.entitydb.dxf_types_in_use()):
        drawing.classes.add_class(name)
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue()


def text_height(table: Table) -> float:
    """Return how high texts are, mm: so that one goes between two holes."""
    return table.pitch / 5


def _dimension_style(height: float, units: str) -> dict[str, Any]:
    shown = {"dimlfac": 1 / MM_PER_INCH, "dimdec": 3, "dimpost": "<> in"} if units == "inch" else {"dimdec": 2}
    drawn = {"dimtxsty": STYLE, "dimtxt": height, "dimasz": height * 0.7, "dimtad": 1, "dimgap": height / 3}
    lines = {"dimexe": height / 3, "dimexo": height / 3, "dimclrd": _BY_LAYER, "dimclre": _BY_LAYER, "dimclrt": _BY_LAYER}
    return {**drawn, **lines, "dimlunit": 2, "dimdsep": ord("."), "dimzin": _WITHOUT_LAST_ZEROS, **shown}


def _add_hole_blocks(drawing: Drawing, radius: float) -> None:
    drawing.blocks.new(HOLE).add_circle((0, 0), radius)
    blocked = drawing.blocks.new(BLOCKED_HOLE)
    blocked.add_circle((0, 0), radius)
    blocked.add_line((-radius, -radius), (radius, radius))
    blocked.add_line((-radius, radius), (radius, -radius))
