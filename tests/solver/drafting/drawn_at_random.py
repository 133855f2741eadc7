"""Weldments drawn at random: sections of every shape, some with a cut end, placed on each other's faces."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import get_args

from inventory.shapes import PlaneCut
from solver.drafting import FaceEdge, Lying, Offset, Placing, faces, first_pose, placed_on
from solver.sections import Section
from solver.weldment import Part, Pose

SQUARE = ((0.0, 0.0), (120.0, 0.0), (120.0, 80.0), (0.0, 80.0))
NOTCHED = ((0.0, 0.0), (100.0, 0.0), (100.0, 30.0), (70.0, 30.0), (70.0, 90.0), (0.0, 90.0))
SLOPED = ((0.0, 0.0), (90.0, 0.0), (60.0, 70.0), (0.0, 50.0))


def a_section(draw: Random) -> Section:
    """Return a section of any shape, of sizes a shop has."""
    return draw.choice(SECTIONS)


SECTIONS = (
    Section("square_tube", width=50, wall=3),
    Section("square_tube", width=40, wall=5),
    Section("square_tube", width=30, wall=2, corner_radius=0),
    Section("rect_tube", width=60, height=40, wall=3),
    Section("rect_tube", width=20, height=50, wall=1.5),
    Section("round_tube", diameter=48.3, wall=3.2),
    Section("round_tube", diameter=114.3, wall=4),
    Section("round_bar", diameter=16),
    Section("angle", leg_a=60, leg_b=40, thickness=5),
    Section("channel", height=80, flange=45, web=6, flange_thickness=8),
    Section("flat_bar", width=50, thickness=10),
    Section("flat_bar", width=25, thickness=25),
    Section("plate", plate_outline=SQUARE),
    Section("plate", plate_outline=SQUARE, plate_cutouts=(((20, 20), (60, 20), (60, 60), (20, 60)),)),
    Section("plate", plate_outline=NOTCHED),
    Section("plate", plate_outline=SLOPED),
)


def a_part(draw: Random, id: str) -> Part:
    """Return a part on its own, one in four with an end cut at an angle."""
    section = a_section(draw)
    plate = section.profile.outer is None
    length = draw.choice((6.0, 8.0, 12.0)) if plate else float(draw.choice((90, 160, 250)))
    lying = draw.choice(get_args(Lying))
    part = Part(id, section, length, first_pose(section, lying))
    if plate or draw.random() > 0.25:
        return part
    slope = draw.choice((0.3, 0.5773502691896257, 1.0))
    normal = draw.choice(((slope, 0.0, 1.0), (-slope, 0.0, 1.0), (0.0, slope, 1.0)))
    return replace(part, cuts=(PlaneCut((0.0, 0.0, length - 20.0 - 40.0 * slope), normal),))


def a_placing(draw: Random, part: Part, target: Part) -> Placing:
    """Return a way to place a part on another, at a round angle or an odd one."""
    edges = get_args(FaceEdge)
    along, across = (
        Offset(draw.choice(edges), draw.choice(edges), draw.choice((0.0, 0.0, 5.0, 12.5, float(draw.randint(-20, 40)))))
        for _ in "12"
    )
    turn = draw.choice((0.0, 0.0, 90.0, 180.0, 270.0, 45.0, 17.3))
    keys = [draw.choice([face.key for face in faces(one)]) for one in (part, target)]
    return Placing(keys[0], target.id, keys[1], turn, along, across, flush=draw.random() < 0.1)


def drawn(draw: Random, count: int) -> list[Part]:
    """Return some parts, each but the first placed on one before it; they may run into each other.

    One in three lies askew to the weldment's axes.
    """
    first = a_part(draw, "p1")
    if draw.random() < 0.3:
        lean = [draw.uniform(-0.8, 0.8) for _ in range(4)]
        at = (draw.uniform(-900, 900), draw.uniform(-900, 900), 40.0)
        first = replace(first, pose=Pose(at, (lean[0], lean[1], 1.0), (1.0, lean[2], lean[3])))
    parts = [first]
    for number in range(2, count + 1):
        part, target = a_part(draw, f"p{number}"), draw.choice(parts)
        parts.append(replace(part, pose=placed_on(part, target, a_placing(draw, part, target))))
    return parts
