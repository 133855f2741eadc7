"""A DXF file as a weldment of plates: every step from bytes to what was read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import Limit, plain
from service.exchange.weldments.dxf.closed_runs import closed_runs
from service.exchange.weldments.dxf.drawing_file import dialect_of, opened, units_of
from service.exchange.weldments.dxf.flat_drawing import flat_drawing
from service.exchange.weldments.dxf.nesting import nested
from service.exchange.weldments.dxf.plates import plates
from service.exchange.weldments.weldment_reading import MM_OF, ReadingOptions, Remark, WeldmentReading

GAP = Limit(0, 10, "mm")
LAYER = "layer:"
"""What a name among those left out begins with if it is a layer's."""
MOST_REMARKS = 50
"""Of one code."""


def read_dxf(content: bytes, name: str, options: ReadingOptions) -> WeldmentReading:
    """Return the plates that a DXF file draws, where it draws them, flat at z = 0.

    Parameters
    ----------
    content : bytes
        ASCII or binary DXF.
    name : str
        Of the weldment.
    options : ReadingOptions
        Names among those left out that begin with ``layer:`` are layers, and are not there at all.

    Raises
    ------
    InvalidDocument
        If it is no DXF file, names no unit, holds more than is read, or holds no closed outline.
    """
    faults = list(GAP.faults("/gap_mm", options.gap_mm))
    if faults:
        raise InvalidDocument(faults)
    drawing = opened(content)
    units, remarks = units_of(drawing, options)
    layers = [each.removeprefix(LAYER) for each in options.left_out if each.startswith(LAYER)]
    flat = flat_drawing(drawing, MM_OF[units], layers)
    runs, not_closed = closed_runs(flat.curves, options.gap_mm)
    outlines, not_taken = nested(runs)
    remarks += _few([*not_closed, *not_taken, *flat.remarks])
    if not outlines:
        raise InvalidDocument(_nothing_closed(remarks))
    parts, bodies = plates(outlines, flat.texts, options, units)
    if len(bodies) > limits.PARTS:
        raise InvalidDocument([Fault("/entities", f"{len(bodies)} plates", f"at most {limits.PARTS} parts")])
    return WeldmentReading("dxf", dialect_of(drawing), units, name, tuple(parts), tuple(bodies), tuple(remarks))


def _few(remarks: Sequence[Remark]) -> list[Remark]:
    """Return the remarks, of each code no more than a page holds and how many more there are."""
    by_code: dict[str, list[Remark]] = defaultdict(list)
    for remark in remarks:
        by_code[remark.code].append(remark)
    found: list[Remark] = []
    for code, same in by_code.items():
        found += same[:MOST_REMARKS]
        if len(same) > MOST_REMARKS:
            found.append(Remark(code, f"the same at {len(same) - MOST_REMARKS:,} more places"))
    return found


def _nothing_closed(remarks: Sequence[Remark]) -> list[Fault]:
    """Return the faults of a drawing without any closed outline: what its lines lack, each with its place."""
    faults = [Fault("/entities", "no closed outline in the model space", "a closed outline for each plate")]
    for remark in remarks[:20]:
        at = "" if remark.at is None else f" at ({plain(round(remark.at[0], 3))}, {plain(round(remark.at[1], 3))})"
        faults.append(Fault("/entities", f"{remark.where}{at}: {remark.text}".lstrip(": "), "lines that close up"))
    return faults
