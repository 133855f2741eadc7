"""Whether every weld can be welded: samples on its path, torch angles, torch and hand free; and hardware kept from its heat."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import blocks
from solver.checks.arithmetic.blocks import Block
from solver.checks.arithmetic.paths import Path
from solver.checks.report import at_least, at_most, fail, passed, summary
from solver.checks.scene.scene import Scene, SetPiece
from solver.checks.scene.wedge import open_wedge
from solver.checks.tolerances import CLEARANCE_SLACK, ON_PATH, TORCH_SLACK
from solver.plans import Finding, WeldSamples
from solver.rule_book.book import RuleBook
from solver.weldment import Weld


def check_reach(scene: Scene) -> Iterator[Finding]:
    """Yield, for every weld, whether its samples cover it, the torch keeps its angles, and torch and hand are free."""
    listed = {weld.id: weld for weld in scene.answer.welds}
    for weld in scene.welds:
        path = Path(scene.path(weld))
        if weld.id in listed:
            yield from _covered(scene, weld, path, listed[weld.id])
            yield from summary("torch.angles", weld.id, _angles(scene, weld, path, listed[weld.id]))
        yield from _heat(scene, weld, path)
    yield from _free(scene)


def sample_places(path: Path, samples: WeldSamples) -> tuple[list[float], list[int]]:
    """Return the sorted arc lengths of the samples and the indices of those off the path."""
    places, off = [], []
    for k, (at, _) in enumerate(samples.samples):
        s, away = min(path.nearest(np.array(at)), key=lambda entry: entry[1])
        if away > ON_PATH:
            off.append(k)
            continue
        places.append(s)
        if path.closed and (s < 1e-3 or s > path.length - 1e-3):
            places += [0.0, path.length]
    return sorted(places), off


def _covered(scene: Scene, weld: Weld, path: Path, samples: WeldSamples) -> Iterator[Finding]:
    places, off = sample_places(path, samples)
    for k in off:
        yield fail("torch.sample", f"{weld.id} {k}", "the sample does not lie on the weld")
    limit = scene.rules["torch.sample"]
    if weld.in_fixture == "full":
        stops = [0.0, *places, path.length]
        if not places or places[0] > ON_PATH or places[-1] < path.length - ON_PATH:
            yield fail("torch.sample", weld.id, "an end of the weld has no sample")
        yield at_most("torch.sample", weld.id, float(np.diff(stops).max()), limit, "mm", "largest spacing of samples", 1e-3)
    elif weld.in_fixture == "tack":
        yield from tacked(scene.rules, weld.id, path.length, places)


def tacked(rules: RuleBook, weld: str, along: float, places: Sequence[float]) -> Iterator[Finding]:
    """Yield whether runs of samples leave room for a tack at both ends of a weld and one at least every pitch.

    Parameters
    ----------
    along : float
        How long the weld is, mm.
    places : sequence of float
        Where its samples are along it, mm, in their order.
    """
    spacing, pitch = rules["torch.sample"] + 1e-3, rules["tack.pitch"]
    length = min(rules["tack.length"], along)
    runs: list[list[float]] = []
    for s in places:
        if runs and s - runs[-1][1] <= spacing:
            runs[-1][1] = s
        else:
            runs.append([s, s])
    tacks = [(low, high - length) for low, high in runs if high - low >= length - ON_PATH]
    if not tacks or tacks[0][0] > ON_PATH or tacks[-1][1] + length < along - ON_PATH:
        yield fail("tack.length", weld, f"an end of the weld has no tack of {length:g} mm")
        return
    jump = max((after[0] - before[1] for before, after in pairwise(tacks)), default=0.0)
    yield at_most("tack.pitch", weld, jump, pitch, "mm", "largest step from tack to tack", ON_PATH)


def _angles(scene: Scene, weld: Weld, path: Path, samples: WeldSamples) -> Iterator[Finding]:
    """Yield every torch that leaves its work or travel angle; at a corner of the path either stretch may judge it."""
    for k, (at, torch) in enumerate(samples.samples):
        s, _ = min(path.nearest(np.array(at)), key=lambda entry: entry[1])
        direction = np.array(torch)
        wrong = [_angle(scene, weld, path, segment, direction, f"{weld.id} {k}") for segment in path.segments(s)]
        if wrong and all(finding is not None for finding in wrong) and wrong[0] is not None:
            yield wrong[0]


def _angle(scene: Scene, weld: Weld, path: Path, segment: int, torch: Array, subject: str) -> Finding | None:
    """Return what is wrong with a torch direction along one stretch, None if nothing is."""
    found = leaning(scene, weld, path, segment, torch)
    if found is None:
        return fail("torch.open_side", weld.id, "the parts leave no side wider than 30 degrees open", None, 30.0, "deg")
    work, travel = found
    if travel > scene.rules["torch.travel_angle"] + TORCH_SLACK:
        return fail("torch.travel_angle", subject, "leaning along the weld", travel, scene.rules["torch.travel_angle"], "deg")
    if work > scene.rules["torch.work_tolerance"] + TORCH_SLACK:
        return fail("torch.work_tolerance", subject, "off the bisector", work, scene.rules["torch.work_tolerance"], "deg")
    return None


def leaning(scene: Scene, weld: Weld, path: Path, segment: int, torch: Array) -> tuple[float, float] | None:
    """Return the work and the travel angle of a torch direction at one stretch, degrees; None if no side of it is open."""
    wedge = open_wedge(scene, weld, segment)
    if wedge is None:
        return None
    tangent = path.tangent(segment)
    along = float(torch @ tangent)
    travel = math.degrees(math.asin(max(-1.0, min(1.0, abs(along)))))
    across = -(torch - along * tangent)
    length = float(np.linalg.norm(across))
    cosine = float(across @ wedge.bisector) / length if length > 0 else -1.0
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine)))), travel


def capsules(scene: Scene) -> Iterator[tuple[str, float, float, float]]:
    """Yield (name, radius, first, last): how far from the weld the axis of torch and hand begins and ends, mm."""
    rules = scene.rules
    for name, diameter, start, length in (
        ("torch", rules["torch.nozzle_diameter"], rules["torch.stickout"], rules["torch.length"]),
        ("hand", rules["torch.hand_diameter"], rules["torch.stickout"] + rules["torch.hand_from"], rules["torch.hand_length"]),
    ):
        radius = diameter / 2
        yield name, radius, start + radius, max(start + radius, start + length - radius)


def _free(scene: Scene) -> Iterator[Finding]:
    """Yield every body that torch or hand would strike at some sample, clamps shut."""
    labels, points, back = [], [], []
    for weld in scene.answer.welds:
        for k, (at, torch) in enumerate(weld.samples):
            labels.append(f"{weld.id} {k}")
            points.append(at)
            back.append(-np.array(torch) / np.linalg.norm(torch))
    if not labels:
        return
    roots, away = np.array(points), np.array(back)
    bodies: list[tuple[str, Sequence[Block]]] = [("table", (scene.slab,))]
    bodies += [(part.id, (part.block,)) for part in scene.all_parts.values()]
    bodies += [(piece.id, piece.shut) for piece in scene.pieces.values()]
    bodies += list(scene.neighbours.items())
    for name, radius, first, last in capsules(scene):
        starts, ends = roots + first * away, roots + last * away
        struck = [f for id, body in bodies for f in _struck(name, radius, starts, ends, labels, id, body)]
        yield from struck or [passed(f"{name}.free", "weldment", f"{len(labels)} samples")]


def _struck(
    name: str, radius: float, starts: Array, ends: Array, labels: Sequence[str], id: str, body: Sequence[Block]
) -> Iterator[Finding]:
    nearest = np.full(len(labels), math.inf)
    for block in body:
        nearest = np.minimum(nearest, blocks.segments_to_block(starts, ends, block, radius))
    for k in np.flatnonzero(nearest < radius - TORCH_SLACK).tolist():
        yield fail(f"{name}.free", f"{labels[k]} {id}", f"the {name} strikes {id}", float(nearest[k]), radius, "mm")


def _heat(scene: Scene, weld: Weld, path: Path) -> Iterator[Finding]:
    """Yield how near hardware comes to a weld's path: locators may come nearer than the rest, with a finding."""
    full, least = scene.rules["clear.weld"], scene.rules["clear.weld_locator"]
    worst = passed("clear.weld", weld.id)
    for piece in scene.pieces.values():
        near = _near_path(path, piece, full)
        locates = bool(piece.placement.locates)
        if near < (least if locates else full) - CLEARANCE_SLACK:
            rule = "clear.weld_locator" if locates else "clear.weld"
            worst = fail(rule, f"{weld.id} {piece.id}", "hardware is too near the weld", near, least if locates else full, "mm")
            yield worst
        elif near < full - CLEARANCE_SLACK:
            text = "a locator comes nearer to the weld than other hardware may"
            yield at_least("clear.weld_locator", f"{weld.id} {piece.id}", near, least, "mm", text)
    if worst.ok:
        yield worst


def _near_path(path: Path, piece: SetPiece, cap: float) -> float:
    starts, ends = path.points[:-1], path.points[1:]
    return min(float(blocks.segments_to_block(starts, ends, block, cap).min()) for block in piece.shut)
