"""A part placed on another: face against face or flush with it, turned, so far from this edge; and a first part on its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np

from inventory import limits
from inventory.errors import Fault, refuse
from inventory.shapes import Array, Point3, turned
from solver.drafting.named_faces import NamedFace, face
from solver.drafting.tidy import UNIT_DIGITS, tidy_point
from solver.sections import Section
from solver.weldment import Part, Pose

FaceEdge = Literal["low", "middle", "high"]
Lying = Literal["flat", "edge", "upright"]
ORIGIN = Pose((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
"""The pose of a part in its own frame."""


@dataclass(frozen=True, slots=True)
class Offset:
    """How far an edge (or the middle) of the moved face lies from one of the face it is placed on.

    Parameters
    ----------
    from_edge : FaceEdge
        Of the face that is placed on: where its along (or across) begins, its middle, or where it ends.
    to_edge : FaceEdge
        Likewise of the moved face as it is turned, along the same direction.
    distance_mm : float
        From an edge it is measured inwards, from the middle towards the high edge.
    """

    from_edge: FaceEdge = "middle"
    to_edge: FaceEdge = "middle"
    distance_mm: float = 0.0

    def __post_init__(self) -> None:
        edges = get_args(FaceEdge)
        refuse(
            [
                *limits.one_of_faults("/from_edge", self.from_edge, edges),
                *limits.one_of_faults("/to_edge", self.to_edge, edges),
                *limits.COORDINATE.faults("/distance_mm", self.distance_mm),
            ]
        )

    def middle_at(self, length: float, low: float, high: float) -> float:
        """Return how far past the middle of a face of some length the moved face's origin comes to be, mm.

        `low` and `high` are where the moved face begins and ends, from its origin.
        """
        of_target = {"low": -length / 2 + self.distance_mm, "middle": self.distance_mm, "high": length / 2 - self.distance_mm}
        return of_target[self.from_edge] - {"low": low, "middle": (low + high) / 2, "high": high}[self.to_edge]


@dataclass(frozen=True, slots=True)
class Placing:
    """Where a part is placed: one of its faces against a face of another part, or flush with it.

    Parameters
    ----------
    part_face : str
        The key of the moved part's face.
    on_part, on_face : str
        The id of the part it is placed on, and the key of that part's face.
    turn : float
        Degrees about the normal of the face that is placed on, counter-clockwise as that face is looked at; at 0 both
        faces run along the same direction.
    along, across : Offset
        Along and across the face that is placed on.
    gap_mm : float
        How far off the face's plane, outwards.
    flush : bool
        Both faces look the same way and lie in one plane, instead of facing each other.
    """

    part_face: str
    on_part: str
    on_face: str
    turn: float = 0.0
    along: Offset = Offset()
    across: Offset = Offset()
    gap_mm: float = 0.0
    flush: bool = False

    def __post_init__(self) -> None:
        refuse(_placing_faults(self))


def _placing_faults(placing: Placing) -> Iterator[Fault]:
    yield from limits.TURN.faults("/turn", placing.turn)
    yield from limits.COORDINATE.faults("/gap_mm", placing.gap_mm)


def placed_on(part: Part, target: Part, placing: Placing) -> Pose:
    """Return the pose that places a part on another as described; where the part was before does not matter.

    Raises
    ------
    KeyError
        If one of the two has no such face.
    InvalidDocument
        If the part would come to be farther out than documents may name.
    """
    return pose_by(face(replace(part, pose=ORIGIN), placing.part_face), face(target, placing.on_face), placing)


def pose_by(own: NamedFace, on: NamedFace, placing: Placing) -> Pose:
    """Return the pose that places a part by one of its faces, in the part's own frame, on another's face."""
    turn = rotation(own, on, placing.turn, placing.flush)
    corners = (np.array(own.outline) - own.centre) @ turn.T
    along, across, normal = np.array(on.along), np.array(on.across), np.array(on.normal)
    place = np.array(on.centre) + placing.gap_mm * normal
    for direction, offset, length in ((along, placing.along, on.size[0]), (across, placing.across, on.size[1])):
        spread = corners @ direction
        place = place + offset.middle_at(length, float(spread.min()), float(spread.max())) * direction
    at = place - turn @ np.array(own.centre)
    return Pose(tidy_point(at), tidy_point(turn[:, 2], UNIT_DIGITS), tidy_point(turn[:, 1], UNIT_DIGITS))


def rotation(own: NamedFace, on: NamedFace, turn: float, flush: bool) -> Array:
    """Return the rotation (3, 3) that brings a face of a part in its own frame against another face, or flush with it."""
    normal, quarter = np.array(on.normal), turned(turn)
    along = quarter[0, 0] * np.array(on.along) + quarter[1, 0] * np.array(on.across)
    facing = normal if flush else -normal
    there = np.stack([along, np.cross(facing, along), facing], axis=1)
    found: Array = there @ np.array([own.along, own.across, own.normal])
    return found


def first_pose(section: Section, lying: Lying = "flat") -> Pose:
    """Return where the first part of a weldment lies: its lowest point at z = 0, its start (of a plate, its left side) at x = 0.

    Parameters
    ----------
    section : Section
        Of a profile, symmetric ones have y = 0 in their middle; of a plate, y = 0 is its near side.
    lying : Lying
        ``flat``: a profile along x, its v up; a plate on its face. ``edge``: a profile along x turned on its side, its u up;
        a plate on its lowest edge, along x. ``upright``: a profile along z; a plate on its left edge, along y.
    """
    ring = np.array(section.outline, dtype=float)
    (u, v), (_, high_v) = ring.min(axis=0).tolist(), ring.max(axis=0).tolist()
    x: Point3 = (1.0, 0.0, 0.0)
    if section.profile.outer is None:
        lyings = {
            "flat": Pose((-u, -v, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
            "edge": Pose((-u, 0.0, -v), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
            "upright": Pose((0.0, high_v, -u), x, (0.0, -1.0, 0.0)),
        }
    else:
        lyings = {
            "flat": Pose((0.0, 0.0, -v), x, (0.0, 0.0, 1.0)),
            "edge": Pose((0.0, 0.0, -u), x, (0.0, -1.0, 0.0)),
            "upright": ORIGIN,
        }
    pose = lyings[lying]
    return Pose(tidy_point(pose.at), pose.along, pose.up)
