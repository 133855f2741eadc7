"""What follows a part that is changed or moved: the parts placed on it, the welds between them, the points measured at them.

A draft keeps no relations, only where everything is; so what follows is seen from how things stood before. A part is placed on
another if it comes later in the list and the two touch.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from inventory.errors import InvalidDocument
from inventory.shapes import Array
from service.weldments.drafted_weldment import DraftedWeldment
from service.weldments.edited import Editing
from service.weldments.following.extents import boxes_meet, extents
from service.weldments.following.welds import follow_points, follow_welds
from solver.drafting import NamedFace, Placing, described, faces, placed_on
from solver.drafting import Offset as EdgeOffset
from solver.weldment import Part, Pose

_DOWN = np.array([0.0, 0.0, -1.0])


def on_top_of(part: Part, target: Part, placing: Placing | None = None) -> Pose:
    """Return where a part is put that is to lie on top of another, in its middle."""
    if placing is None:
        under, top = _facing(part, _DOWN), _facing(target, -_DOWN)
        placing = Placing(under.key, target.id, top.key, 0.0, EdgeOffset("middle", "middle"), EdgeOffset("middle", "middle"))
    return placed_on(part, target, placing)


def _facing(part: Part, direction: Array) -> NamedFace:
    """Return the face of a part that looks most in a direction, of several the largest."""
    return max(
        faces(part), key=lambda face: (round(float(np.array(face.normal) @ direction), 3), face.size[0] * max(face.size[1], 1))
    )


def touching(part: Part, other: Part) -> Placing | None:
    """Return how a part is placed on another that it touches, None if it does not touch it face to face."""
    if not boxes_meet(part, other):
        return None
    return next((each for each in described(part, other) if not each.flush and abs(each.gap_mm) <= 0.1), None)


def followed(edit: Editing, before: DraftedWeldment, index: int, with_placed: bool = True, but: str = "") -> None:
    """Have everything follow a part that an edit has changed or moved.

    Parameters
    ----------
    before : DraftedWeldment
        How things stood before the edit.
    index : int
        The part; one whose size changed is placed anew on what it was placed on, one that was moved stays where it is now.
    with_placed : bool
        Whether parts that are placed on it go along.
    but : str
        Id of a part that stays where it is all the same.
    """
    was, now = before.parts[index], edit.drafted.parts[index]
    if was is None or now is None:
        return
    earlier = {part.id: part for part in before.parts[:index] if part is not None}
    if now.pose == was.pose:
        now = _placed_again(edit, was, now, earlier, index)
    moved = {was.id: now}
    if with_placed:
        for later in range(index + 1, len(before.parts)):
            part = before.parts[later]
            base = None if part is None or part.id == but else _base(part, before, moved, later)
            if part is not None and base is not None:
                pose = _on_changed(part, base[0], moved[base[0].id], base[1])
                if pose is not None:
                    edit.entries("parts")[later]["pose"] = edit.pose(pose)
                    moved[part.id] = replace(part, pose=pose)
    after = edit.drafted
    follow_welds(edit, before, after, moved)
    follow_points(edit, before, moved)


def _placed_again(edit: Editing, was: Part, now: Part, earlier: Mapping[str, Part], index: int) -> Part:
    """Place a part whose size changed as it was placed before; one that lies on no other stays as low as it was."""
    pose = None
    for other in earlier.values():
        placing = touching(was, other)
        if placing is not None and other.id != was.id:
            pose = _on_changed(now, other, other, placing)
            break
    if pose is None:
        x, y, z = now.pose.at
        pose = Pose((x, y, z + float(extents(was)[0][2] - extents(now)[0][2])), now.pose.along, now.pose.up)
    edit.entries("parts")[index]["pose"] = edit.pose(pose)
    return edit.drafted.parts[index] or now


def _base(part: Part, before: DraftedWeldment, moved: Mapping[str, Part], later: int) -> tuple[Part, Placing] | None:
    """Return the part that another one goes along with: the first it touches, if that one moves."""
    for other in before.parts[:later]:
        if other is not None and other.id != part.id and (placing := touching(part, other)) is not None:
            return (other, placing) if other.id in moved else None
    return None


def _on_changed(part: Part, was: Part, now: Part, placing: Placing) -> Pose | None:
    """Return where a part comes to that was placed on another which has changed; None if it lost the face it was on."""
    if was.section == now.section and was.length == now.length and was.cuts == now.cuts:
        carried = now.pose.frame() @ np.linalg.inv(was.pose.frame())
        frame = carried @ part.pose.frame()
        (_, v, w, at) = frame[:3].T
        return Pose(tuple(map(float, at)), tuple(map(float, w)), tuple(map(float, v)))  # type: ignore[arg-type]
    try:
        return placed_on(part, now, placing)
    except (KeyError, InvalidDocument):
        return None
