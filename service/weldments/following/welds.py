"""Welds and measured points that follow their parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from inventory.shapes import Array
from service.weldments.drafted_weldment import DraftedWeldment
from service.weldments.edited import Editing, directions
from solver.drafting import Seam, faces, pair_seams, weld_on
from solver.weldment import Part, Weld

_AT_FACE = 0.05
"""A point no farther from the middle of a face than this is the face's, mm."""


def follow_welds(edit: Editing, before: DraftedWeldment, after: DraftedWeldment, moved: Mapping[str, Part]) -> None:
    """Put every weld of a moved part on the seam that has become of the one it was on; one without such a seam stays."""
    for index, weld in enumerate(before.welds):
        if weld is None or not any(id in moved for id in weld.parts):
            continue
        was = [before.part(id) for id in weld.parts]
        now = [moved.get(id) or after.part(id) for id in weld.parts]
        if was[0] is None or was[1] is None or now[0] is None or now[1] is None:
            continue
        path = _followed(weld, (was[0], was[1]), (now[0], now[1]))
        if path is not None:
            edit.entries("welds")[index]["path"] = [edit.lengths(point) for point in path]
            side = edit.entries("welds")[index].get("side")
            if weld.side is not None and side is not None:
                edit.entries("welds")[index]["side"] = directions(
                    (_carried(was[0], now[0])[:3, :3] @ np.array(weld.side)).tolist()
                )


def _followed(weld: Weld, was: tuple[Part, Part], now: tuple[Part, Part]) -> Sequence[Sequence[float]] | None:
    first, second = (_carried(a, b) for a, b in zip(was, now, strict=True))
    same_bodies = all(_same_body(a, b) for a, b in zip(was, now, strict=True))
    if same_bodies and np.allclose(first, second, atol=1e-6):
        points = np.array([(*point, 1.0) for point in weld.path]) @ first.T
        return [[float(c) for c in point[:3]] for point in points]
    there = pair_seams(*was)
    on = next((seam for seam in there if weld_on(seam, [weld]) is not None), None)
    if on is None:
        return None
    later = pair_seams(*now)
    seam = _likest(on, [seam for seam in there if seam.kind == on.kind], [seam for seam in later if seam.kind == on.kind], first)
    return None if seam is None else seam.path


def _likest(on: Seam, there: Sequence[Seam], later: Sequence[Seam], carried: Array) -> Seam | None:
    """Return which seam has become of one: as many as before, they keep their order; else the one that lies most alike."""
    if len(there) == len(later):
        index = next((k for k, seam in enumerate(there) if seam is on), None)
        if index is not None and _alike(on, later[index], carried) > 0.9:
            return later[index]
    alike = [seam for seam in later if _alike(on, seam, carried) > 0.9]
    middle = carried[:3, :3] @ _middle(on) + carried[:3, 3]
    return min(alike, key=lambda seam: float(np.linalg.norm(_middle(seam) - middle)), default=None)


def _alike(on: Seam, other: Seam, carried: Array) -> float:
    return float((carried[:3, :3] @ np.array(on.open_side)) @ np.array(other.open_side))


def _middle(seam: Seam) -> Array:
    found: Array = np.array(seam.path, dtype=float).mean(axis=0)
    return found


def _carried(was: Part, now: Part) -> Array:
    """Return the motion that takes a part from where it was to where it is."""
    found: Array = now.pose.frame() @ np.linalg.inv(was.pose.frame())
    return found


def _same_body(a: Part, b: Part) -> bool:
    return a.section == b.section and a.length == b.length and a.cuts == b.cuts


def follow_points(edit: Editing, before: DraftedWeldment, moved: Mapping[str, Part]) -> None:
    """Have points and directions of tolerances and open dimensions go with their parts; the middle of a face stays that."""
    for index, tolerance in enumerate(before.tolerances):
        if tolerance is not None and tolerance.part in moved and (was := before.part(tolerance.part)) is not None:
            now, entry = moved[tolerance.part], edit.entries("tolerances")[index]
            key = next((f.key for f in faces(was) if np.linalg.norm(np.subtract(f.centre, tolerance.point)) <= _AT_FACE), None)
            face = next((face for face in faces(now) if face.key == key), None)
            carried = _carried(was, now)
            at = face.centre if face is not None else (carried @ np.array((*tolerance.point, 1.0)))[:3].tolist()
            entry["point"] = edit.lengths(at)
            entry["direction"] = directions((carried[:3, :3] @ np.array(tolerance.direction)).tolist())
    for index, dimension in enumerate(before.open_dimensions):
        if dimension is not None and dimension.part in moved and (was := before.part(dimension.part)) is not None:
            turned = _carried(was, moved[dimension.part])[:3, :3] @ np.array(dimension.direction)
            edit.entries("open_dimensions")[index]["direction"] = directions(turned.tolist())
