"""Positions of the table taken up again after the search gave them up: sites, problem and model, made anew."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from solver.candidates.hanging import seated
from solver.candidates.lies import off_table, usable_holes
from solver.candidates.problem import build
from solver.candidates.screen import screen
from solver.candidates.sites import ALONG, Sites, sites_on
from solver.model.pose import PoseModel
from solver.poses import Pose
from solver.search import Search


def placed(search: Search, pose: Pose, refused: Counter[str]) -> Sites | None:
    """Return all that can stand at a position, None if the weldment has no room on the table there.

    `refused` counts the sites that fall out, by rule.
    """
    ground, request = pose.ground, search.request
    seat, assembly = seated(pose.table, ground.assembly, pose.lattice, ground.lie, request.without)
    if seat is None:
        return None
    sites = sites_on(ground.reach, [pose.lattice], ALONG)
    if len(sites):
        usable = usable_holes(pose.table, request.without)
        off = off_table(sites, np.arange(len(sites)), seat, usable, request.rules["clear.table_edge"])
        refused["table.hole"] += int(off.sum())
        sites = sites.where(~off)
    return screen(sites, assembly, refused) if len(sites) else sites


def model_of(search: Search, pose: Pose) -> PoseModel | None:
    """Return a position's model with the first rows only, from every site and without floors; None if there is no room."""
    sites = placed(search, pose, Counter())
    if sites is None:
        return None
    ground = pose.ground
    times = {id(stand): entry for stand, entry in zip(ground.stands, ground.times, strict=True)}
    _, assembly = seated(pose.table, ground.assembly, pose.lattice, ground.lie, search.request.without)
    return PoseModel(build(search.request, search.stock, assembly, sites, ground.torch, times, pose.table))


def spread(poses: Sequence[Pose], most: int) -> list[Pose]:
    """Return at most so many poses, evenly from all."""
    count = min(most, len(poses))
    return [poses[k * len(poses) // count] for k in range(count)]
