"""Drawings for the tests: made by ezdxf's own writer, read back by the reader under test."""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import Any

import ezdxf
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from inventory.shapes import Point2
from service.exchange.weldments.dxf.reading import read_dxf
from service.exchange.weldments.weldment_reading import ReadBody, ReadingOptions, Remark, WeldmentReading
from solver.weldment import Part


def drawing(version: str = "R2010", units: int = 4) -> tuple[Drawing, Modelspace]:
    """Return an empty drawing in millimetres."""
    made = ezdxf.new(version)
    made.header["$INSUNITS"] = units
    made.header["$MEASUREMENT"] = 0 if units in (1, 2) else 1
    return made, made.modelspace()


def content(made: Drawing, form: str = "asc") -> bytes:
    """Return a drawing as its file's bytes, ``asc`` or ``bin``."""
    if form == "bin":
        binary = io.BytesIO()
        made.write(binary, fmt="bin")
        return binary.getvalue()
    text = io.StringIO()
    made.write(text)
    return made.encode(text.getvalue())


def reading(made: Drawing, form: str = "asc", **options: Any) -> WeldmentReading:
    """Return what is read of a drawing, plates 5 mm thick if nothing says else."""
    return read_dxf(content(made, form), "drawn", ReadingOptions(**{"thickness_mm": 5.0, **options}))


def only_part(made: Drawing, **options: Any) -> Part:
    """Return the one plate of a drawing."""
    (part,) = reading(made, **options).parts
    return part


def only_body(made: Drawing, **options: Any) -> ReadBody:
    """Return the one outline of a drawing that is no cut-out."""
    (body,) = reading(made, **options).bodies
    return body


def codes(remarks: Iterable[Remark]) -> list[str]:
    return [remark.code for remark in remarks]


def area(ring: Iterable[Point2]) -> float:
    points = list(ring)
    return sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(points, [*points[1:], points[0]], strict=True)) / 2


def metal(part: Part) -> float:
    """Return the area of a plate without its cut-outs, mm2."""
    return abs(area(part.section.outline)) - sum(abs(area(ring)) for ring in part.section.cutouts)


def box(part: Part) -> tuple[float, float, float, float]:
    """Return where a plate lies in the drawing: left, bottom, right, top."""
    xs, ys = zip(*part.section.outline, strict=True)
    x, y, _ = part.pose.at
    return x + min(xs), y + min(ys), x + max(xs), y + max(ys)
