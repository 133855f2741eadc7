"""Closed outlines with their cut-outs as plates: how thick, what they are called, or why they are none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from inventory import limits
from inventory.errors import InvalidDocument
from inventory.limits import plain, unprintable
from inventory.shapes import Point2
from service.exchange.weldments.dxf.curves import ARC_MM, ring_points
from service.exchange.weldments.dxf.flat_drawing import DrawnText
from service.exchange.weldments.dxf.nesting import COARSER, NestedRun
from service.exchange.weldments.dxf.thickness import layer_thickness, only_thickness, thicknesses
from service.exchange.weldments.step.words import in_words
from service.exchange.weldments.weldment_reading import ALL, DrawnUnit, Outcome, ReadBody, ReadingOptions, Remark
from solver.recognition.outer_prism import hull
from solver.sections import Section
from solver.weldment import RESERVED, Part, Pose

_DIGITS = 6
JOINED_UNTOLD = 0.001
"""Ends this near to each other, mm, are joined without a word."""
_FLAT = ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
"""Along and up of a plate that lies in the drawing's plane: u and v are the drawing's x and y."""


@dataclass
class _Names:
    """Names given so far, so that each is given once."""

    given: set[str] = field(default_factory=lambda: {RESERVED})

    def unique(self, wanted: str) -> str:
        """Return a name as wanted, with a number behind it if it was given before."""
        bare = "".join(c for c in wanted if unprintable(c) is None).strip()[: limits.ID_LENGTH - 6] or "plate"
        name, number = bare, 1
        while name in self.given:
            number += 1
            name = f"{bare}-{number}"
        self.given.add(name)
        return name


def plates(
    runs: Sequence[NestedRun], texts: Sequence[DrawnText], options: ReadingOptions, units: DrawnUnit
) -> tuple[list[Part], list[ReadBody]]:
    """Return the parts of a drawing and what became of each outline that is no cut-out, in the order of the file.

    Parameters
    ----------
    runs : sequence of NestedRun
    texts : sequence of DrawnText
    options : ReadingOptions
        Thicknesses, names left out, material.
    units : DrawnUnit
        Of the drawing, for numbers in texts that have no unit.
    """
    words = _texts_of(runs, texts)
    names = _Names()
    parts: list[Part] = []
    bodies: list[ReadBody] = []
    counted = 0
    for run in runs:
        if run.cutout:
            continue
        counted += 1
        lines = words.get(run.number, [])
        name = names.unique(_name(run, lines) or f"{'outline' if run.faults else 'plate'}-{counted}")
        body, part = _plate(run, name, lines, options, units)
        bodies.append(replace(body, number=counted))
        parts += [] if part is None else [part]
    return parts, bodies


def _texts_of(runs: Sequence[NestedRun], texts: Sequence[DrawnText]) -> Mapping[int, list[str]]:
    """Return the lines of text that stand in each plate or in a cut-out of it, by its place among the runs."""
    found: dict[int, list[str]] = {}
    for text in texts:
        around = [run for run in runs if not run.faults and run.holds(text.at)]
        if around:
            inner = min(around, key=lambda run: run.area)
            plate = inner.parent if inner.cutout and inner.parent is not None else inner
            found.setdefault(plate.number, []).extend(line.strip() for line in text.text.splitlines() if line.strip())
    return found


def _name(run: NestedRun, lines: Sequence[str]) -> str:
    """Return what a plate is called: by the first text in it that is no thickness, else by its block."""
    named = next((line for line in lines if not only_thickness(line)), "")
    if named:
        return named
    blocks = {(drawn.block, drawn.copy) for drawn in run.run.drawn}
    block = next(iter(blocks))[0] if len(blocks) == 1 else ""
    return "" if block.startswith("*") else block


def _plate(
    run: NestedRun, name: str, lines: Sequence[str], options: ReadingOptions, units: DrawnUnit
) -> tuple[ReadBody, Part | None]:
    if name in options.left_out:
        return ReadBody(0, name, "left_out"), None
    remarks = list(run.faults)
    as_body = name in options.as_bodies or ALL in options.as_bodies
    thickness, said = (None, []) if run.faults and not as_body else _thickness(run, lines, options, units)
    remarks += said
    part: Part | None = None
    if thickness is not None and not run.faults:
        try:
            part, more = _part(run, name, thickness, options)
            remarks += more
        except InvalidDocument as error:
            remarks += [_unfit(fault.pointer, fault.wrong, run) for fault in error.faults[:3]]
    if part is None and as_body and thickness is not None:
        try:
            part = _outer_body(run, name, thickness, options)
            return ReadBody(0, name, "body", part.id, in_words(part), remarks=tuple(remarks)), part
        except InvalidDocument as error:
            remarks += [_unfit(fault.pointer, fault.wrong, run) for fault in error.faults[:3]]
    if part is None:
        outcome: Outcome = "left_out" if ALL in options.left_out else "not_recognised"
        return ReadBody(0, name, outcome, remarks=tuple(remarks)), None
    return ReadBody(0, name, "part", part.id, in_words(part), remarks=tuple(remarks)), part


def _unfit(pointer: str, wrong: str, run: NestedRun) -> Remark:
    inner = pointer.split("/")
    cutout = run.inside[int(inner[3])] if inner[1:3] == ["section", "cutouts"] and inner[3:4] and inner[3].isdigit() else None
    at = (cutout or run).ring[0]
    return Remark("outline.unfit", f"it is no plate: {wrong}", (cutout or run).run.where, (*at, 0.0))


def _thickness(
    run: NestedRun, lines: Sequence[str], options: ReadingOptions, units: DrawnUnit
) -> tuple[float | None, list[Remark]]:
    """Return how thick a plate is, mm, and what is to be said of it.

    The user's word on its layer goes first, then a text in it, then the layer's own name, then the user's word on all plates.
    """
    where, at = run.run.where, (*run.ring[0], 0.0)
    layers = list(dict.fromkeys(drawn.layer for drawn in run.run.drawn))
    by_user = {layer: options.thickness_by_layer[layer] for layer in layers if layer in options.thickness_by_layer}
    by_text = list(dict.fromkeys(value for line in lines for value in thicknesses(line, units)))
    by_name = {layer: value for layer in layers if (value := layer_thickness(layer, units)) is not None}
    says = (
        ("as given for its layer", list(dict.fromkeys(by_user.values()))),
        ("by a text in it", by_text),
        ("by the name of its layer", list(dict.fromkeys(by_name.values()))),
        ("as given for all plates", [] if options.thickness_mm is None else [options.thickness_mm]),
    )
    known = [(source, values) for source, values in says if values]
    if not known:
        text = "nothing says how thick it is: no text in it, not the name of its layer, no option"
        return None, [Remark("thickness.missing", text, where, at)]
    source, values = known[0]
    if len(values) > 1:
        listed = " and ".join(plain(value) for value in values)
        return None, [Remark("thickness.ambiguous", f"its thickness is {listed} mm {source}", where, at)]
    chosen = values[0]
    other = [
        f"{' and '.join(plain(value) for value in values)} mm {source}"
        for source, values in known[1:]
        if values != [chosen] and not source.startswith("as given for all")
    ]
    text = f"{plain(chosen)} mm thick, {source}; it would be {', '.join(other)}"
    return chosen, [Remark("thickness.differs", text, where, at)] if other else []


def _part(run: NestedRun, name: str, thickness: float, options: ReadingOptions) -> tuple[Part, list[Remark]]:
    """Return the plate at the place where it is drawn; raises InvalidDocument if it is none."""
    outline, coarse = _ring(run, False)
    inner = [_ring(each, True) for each in run.inside if not each.faults]
    x, y = (min(point[axis] for point in outline) for axis in (0, 1))
    moved = [
        tuple((round(px - x, _DIGITS) + 0.0, round(py - y, _DIGITS) + 0.0) for px, py in ring)
        for ring in (outline, *(ring for ring, _ in inner))
    ]
    section = Section("plate", plate_outline=moved[0], plate_cutouts=tuple(moved[1:]))
    pose = Pose((round(x, _DIGITS) + 0.0, round(y, _DIGITS) + 0.0, 0.0), *_FLAT)
    remarks = []
    for each in (run, *run.inside):
        if each.faults:
            text = f"an outline in it is no cut-out and is left out of it: {each.faults[0].text}"
            remarks.append(replace(each.faults[0], code="cutout.left_out", text=text))
        elif each.run.gap > JOINED_UNTOLD:
            text = f"ends {plain(round(each.run.gap, 4))} mm apart were joined"
            remarks.append(Remark("outline.gap_closed", text, each.run.where, (*each.run.gap_at, 0.0)))
    worst = max((coarse, *(each for _, each in inner)))
    if worst > 1:
        text = f"its curves take many corners; its sides are up to {plain(worst * ARC_MM)} mm away from them"
        remarks.append(Remark("outline.coarse", text, run.run.where, (*run.ring[0], 0.0)))
    return Part(name, section, thickness, pose, options.material), remarks


def _outer_body(run: NestedRun, name: str, thickness: float, options: ReadingOptions) -> Part:
    """Return the convex body around an outline that is no plate; raises InvalidDocument if it is beyond the limits."""
    points = np.array([*ring_points(run.run.curves, not run.clockwise, False, run.coarse), *run.ring])
    x, y = (float(low) for low in points.min(axis=0))
    outline = tuple((round(px - x, _DIGITS) + 0.0, round(py - y, _DIGITS) + 0.0) for px, py in hull(points))
    pose = Pose((round(x, _DIGITS) + 0.0, round(y, _DIGITS) + 0.0, 0.0), *_FLAT)
    return Part(name, Section("body", plate_outline=outline), thickness, pose, options.material)


def _ring(run: NestedRun, cutout: bool) -> tuple[list[Point2], float]:
    """Return the corners of a run, outlines and cut-outs counter-clockwise, and how coarse its sides are."""
    for coarse in (each for each in COARSER if each >= run.coarse):
        points = ring_points(run.run.curves, not run.clockwise, cutout, coarse)
        if len(points) <= limits.VERTICES:
            break
    return [points[0], *points[:0:-1]] if run.clockwise else points, coarse
