"""The faces of a part as somebody picks them: by key, with a name in plain words, where each lies and how long and wide it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from inventory.shapes import Array, Point3
from solver.drafting.directions import axes_of, direction_words, side_words
from solver.drafting.remembering import PARTS, remembered
from solver.drafting.sheet_metal import leg_names
from solver.drafting.tidy import UNIT_DIGITS, tidy_point
from solver.geometry.cut_faces import left_of, part_faces
from solver.geometry.faces import Face, tangent_face
from solver.weldment import Part

MANTLE = {"+u": (1.0, 0.0), "+v": (0.0, 1.0), "-u": (-1.0, 0.0), "-v": (0.0, -1.0)}
"""On which sides of a round section lines of its mantle are offered, in the (u, v) plane."""
ONE_PLACE = 0.01
"""Faces no farther apart than this lie at one height, mm."""


@dataclass(frozen=True, slots=True)
class NamedFace:
    """One face of a part, in the weldment's frame as drawn.

    Parameters
    ----------
    part : str
        The part's id.
    key : str
        What the face is picked by, unique within the part: its label, and of a round part's mantle one of the four lines
        on the sides of its section: ``side:0+u``, ``side:0+v``, ``side:0-u``, ``side:0-v``.
    label : str
        The face's label as documents name it; ``side:0`` for each line of a mantle.
    words : str
        Its name, unique within the part: ``top (+z)``, ``near edge (-y)``, ``end, right (+x)``.
    normal : Point3
        Unit, out of the part.
    centre : Point3
        The middle of its extents, mm.
    along, across : Point3
        Unit, in the face. `along` runs from the part's start to its end on its sides, along the section's u on its ends;
        `across` is normal x along.
    size : (float, float)
        Extents along and across, mm; a mantle's line has none across. A tube is measured over its outsides, as a rule or a
        square finds them, not over what its rounded corners leave flat.
    along_ends, across_ends : (str, str)
        Where the low and the high edge look: ``("left", "right")``.
    outline : tuple of Point3
        Its outer corners; of a mantle's line the two ends.
    """

    part: str
    key: str
    label: str
    words: str
    normal: Point3
    centre: Point3
    along: Point3
    across: Point3
    size: tuple[float, float]
    along_ends: tuple[str, str]
    across_ends: tuple[str, str]
    outline: tuple[Point3, ...]

    @property
    def title(self) -> str:
        """Its name with its part's id: ``post: top (+z)``."""
        return f"{self.part}: {self.words}"


def faces(part: Part, cutouts: bool = False) -> tuple[NamedFace, ...]:
    """Return the faces of a part in the order of its labels; those of a plate's cut-outs only if they are asked for.

    A face that a cut parts in two is told once, as the larger piece. Faces of one name are told apart by how far in they lie.
    """
    found = _all_faces(part).values()
    return tuple(face for face in found if cutouts or not face.key.startswith("cutout:"))


def face(part: Part, key: str) -> NamedFace:
    """Return the face of a part that has this key, those of cut-outs among them; raises KeyError."""
    return _all_faces(part)[key]


@remembered(PARTS)
def _all_faces(part: Part) -> Mapping[str, NamedFace]:
    named = _told_apart([_named(part, key, face) for key, face in _by_key(part, part.pose.frame()).items()])
    order = {label: place for place, label in enumerate(part.face_labels)}
    return {face.key: face for face in sorted(named, key=lambda face: order.get(face.label, len(order)))}


def _by_key(part: Part, frame: Array) -> dict[str, Face]:
    labels = part.face_labels
    part = replace(part, section=replace(part.section, corner_radius=0.0)) if part.section.profile.rounded else part
    found: dict[str, Face] = {}
    for face in part_faces(0, part, frame):
        larger = face.label not in found or found[face.label].shape.area < face.shape.area
        if larger and face.label in labels:
            found[face.label] = face
    if part.section.round:
        for key, (u, v) in MANTLE.items():
            line = tangent_face(0, part, frame, u * frame[:3, 0] + v * frame[:3, 1])
            left = [] if line is None else left_of([line], part, frame) if part.cuts else [line]
            found |= {f"side:0{key}": max(left, key=lambda piece: piece.shape.length)} if left else {}
    return found


def _named(part: Part, key: str, face: Face) -> NamedFace:
    along, across = face.a, np.cross(face.normal, face.a)
    corners = face.corners()
    spread = np.stack([corners @ along, corners @ across])
    low, high = spread.min(axis=1), spread.max(axis=1)
    middle, size = (low + high) / 2, np.round(high - low, 9)
    centre = face.height * face.normal + middle[0] * along + middle[1] * across
    return NamedFace(
        part.id,
        key,
        face.label,
        _words(part, face),
        tidy_point(face.normal, UNIT_DIGITS),
        tidy_point(centre),
        tidy_point(along, UNIT_DIGITS),
        tidy_point(across, UNIT_DIGITS),
        (float(size[0]), float(size[1])),
        _ends(along),
        _ends(across),
        tuple(tidy_point(corner) for corner in corners),
    )


def _ends(direction: Array) -> tuple[str, str]:
    return direction_words(-direction), direction_words(direction)


def _words(part: Part, face: Face) -> str:
    looking, axes = direction_words(face.normal), f"({axes_of(face.normal)})"
    kind, _, number = face.label.partition(":")
    if kind == "cut":
        return f"cut {int(number) + 1}, {looking} {axes}"
    if kind == "cutout":
        return f"in cut-out {int(number.split(':')[0]) + 1}, {looking} {axes}"
    if kind in ("start", "end"):
        return f"{side_words(face.normal, 'face')} {axes}" if part.flat else f"{kind}, {looking} {axes}"
    side = f"{side_words(face.normal, 'edge' if part.flat else 'side')} {axes}"
    leg = leg_names(part.section).get(face.label)
    return f"{leg}, {side}" if leg else side


def _told_apart(faces: Sequence[NamedFace]) -> list[NamedFace]:
    """Return faces with names of their own: of those of one name the outermost keeps it, the next is the 2nd in."""
    found: list[NamedFace] = []
    by_words = sorted(faces, key=lambda face: face.words)
    for _, alike in groupby(by_words, key=lambda face: face.words):
        group = sorted(alike, key=lambda face: -_height(face))
        levels: list[float] = []
        for face in group:
            if not levels or levels[-1] - _height(face) > ONE_PLACE:
                levels.append(_height(face))
            beside = sum(abs(_height(face) - _height(other)) <= ONE_PLACE for other in group) > 1
            inner = f", {_ordinal(len(levels))} in" if len(levels) > 1 else ""
            found.append(replace(face, words=f"{face.words}{inner}{f', {face.key}' if beside else ''}"))
    return found


def _height(face: NamedFace) -> float:
    return sum(a * b for a, b in zip(face.centre, face.normal, strict=True))


def _ordinal(number: int) -> str:
    last = number % 10 if number % 100 not in (11, 12, 13) else 0
    return f"{number}{({1: 'st', 2: 'nd', 3: 'rd'}).get(last, 'th')}"
