"""A stop of a shop's own as a CAD file might have it: on its side, away from the origin, with its peg and a slider."""

from __future__ import annotations

from typing import Any

from service.exchange.weldments.weldment_reading import Deviation, ReadBody, Remark, WeldmentReading
from solver.sections import Section
from solver.weldment import Part, Pose

Y, Z = (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def block(id: str, low: tuple[float, float, float], high: tuple[float, float, float]) -> Part:
    """A block between two corners, as a bar along x."""
    size = [b - a for a, b in zip(low, high, strict=True)]
    section = Section("flat_bar", width=size[1], thickness=size[2])
    return Part(id, section, size[0], Pose((low[0], low[1] + size[1] / 2, low[2] + size[2] / 2), (1, 0, 0), Z), name=id)


def pin(id: str, diameter: float, low: float, high: float, at: tuple[float, float] = (0.0, 0.0)) -> Part:
    """A round bar along z."""
    return Part(id, Section("round_bar", diameter=diameter), high - low, Pose((*at, low), Z, Y), name=id)


def reading(*parts: Part, bodies: tuple[str, ...] = (), lost: tuple[str, ...] = (), off_mm: float = 0.0) -> WeldmentReading:
    """A file with some parts; those of `bodies` are outer bodies, `lost` names solids that were not read."""
    found = []
    for number, part in enumerate(parts, 1):
        outer = part.id in bodies
        told = (Remark("face.inner_step", "a step, not an end"),) if outer else ()
        deviation = None if outer else Deviation(0.0, 0.0, off_mm)
        found.append(ReadBody(number, f"stop/{part.id}", "body" if outer else "part", part.id, part.id, deviation, told))
    for number, name in enumerate(lost, len(parts) + 1):
        found.append(ReadBody(number, name, "not_recognised", remarks=(Remark("x", "encloses no volume"),)))
    return WeldmentReading("step", "AP214", "mm", "stop", parts, tuple(found))


def stop_file(**more: Any) -> WeldmentReading:
    """A base of 40 x 30 x 50, a slider before it, a peg below it; the table is z = 100 in the file, the peg at (200, 300)."""
    base = block("base", (180, 285, 100), (220, 315, 150))
    slider = block("slider", (185, 315, 110), (215, 325, 150))
    return reading(base, slider, pin("peg", 14, 80, 100, (200, 300)), **more)


def marks(**changes: Any) -> dict[str, Any]:
    """The marks of that stop."""
    return {
        "format": "holdwright.marks/1", "id": "own-40", "kind": "adjustable_stop", "name": "Our stop", "origin": [200, 300, 100],
        "pitch": 40, "pegs": [[0, 0]], "turns": [0, 90, 180, 270], "left_out": ["peg"], "moves": ["slider"],
        "pads": [{"solid": "slider", "normal": [0, 1, 0]}], "slide": {"axis": [0, 1, 0], "range": [0, 25], "step": 0.5},
        "repeatability_mm": 0.05, "stiffness_n_per_mm": 18000, "place_s": 30, "set_s": 40, "day_rate_cents": 40,
        "price_cents": 6500, "lead_days": 5, **changes,
    }  # fmt: skip
