"""The upright rectangle round all that an alternative needs of its table, recomputed with arrays from its document."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from inventory.shapes import Array, Prism
from solver.plans import Alternative
from solver.rule_book.book import RuleBook


def footprint(alternative: Alternative, rules: RuleBook) -> Array:
    """Return [[left, low], [right, high]], mm of the table's frame: bodies, ways, welds, torch and hand."""
    clouds = [body_corners(alternative)]
    steps = {(step.part, step.station): step.moves for step in alternative.load}
    for part in alternative.parts:
        corners = _corners(part.solids)
        way = np.zeros(2)
        for move in reversed(steps.get((part.id, part.station), ())):
            way = way - move.distance * np.array(move.direction[:2])
            clouds.append(corners + way)
        for station in alternative.stations:
            if station.number == part.station:
                out = np.zeros(2)
                for move in station.unload.moves:
                    out = out + move.distance * np.array(move.direction[:2])
                    clouds.append(corners + out)
    boxes = [np.stack([cloud.min(axis=0), cloud.max(axis=0)]) for cloud in clouds]
    boxes += _welding(alternative, rules)
    margin = max(rules["clear.body"], rules["way.clear"]) / 2
    low = np.min([box[0] for box in boxes], axis=0) - margin
    high = np.max([box[1] for box in boxes], axis=0) + margin
    return np.stack([low, high])


def body_corners(alternative: Alternative) -> Array:
    """Return where the corners of pieces, open and shut, and of parts lie on the table (n, 2)."""
    solids: list[Prism] = []
    for piece in alternative.placements:
        solids += [*piece.solids, *(piece.open_solids or ())]
    for part in alternative.parts:
        solids += part.solids
    return _corners(solids)


def _corners(solids: Iterable[Prism]) -> Array:
    clouds = []
    for solid in solids:
        ring = np.array(solid.outline)
        flat = np.concatenate([np.column_stack([ring, np.full(len(ring), end)]) for end in (solid.start, solid.end)])
        frame = np.array(solid.frame)
        clouds.append((flat @ frame[:3, :3].T + frame[:3, 3])[:, :2])
    return np.concatenate(clouds)


def _welding(alternative: Alternative, rules: RuleBook) -> list[Array]:
    """Return a box a capsule: the weld with the distance hardware keeps, torch and hand behind it."""
    boxes = []
    for weld in alternative.welds:
        for at, torch in weld.samples:
            root, away = np.array(at), -np.array(torch) / np.linalg.norm(torch)
            boxes.append(np.stack([root[:2] - rules["clear.weld"], root[:2] + rules["clear.weld"]]))
            for diameter, start, length in (
                (rules["torch.nozzle_diameter"], rules["torch.stickout"], rules["torch.length"]),
                (rules["torch.hand_diameter"], rules["torch.stickout"] + rules["torch.hand_from"], rules["torch.hand_length"]),
            ):
                radius = diameter / 2
                far = max(start + radius, start + length - radius)
                ends = np.stack([root + away * (start + radius), root + away * far])[:, :2]
                boxes.append(np.stack([ends.min(axis=0) - radius, ends.max(axis=0) + radius]))
    return boxes
