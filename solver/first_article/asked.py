"""The tolerances a weldment asks for, as readings: from a face of the part it is relative to, or from the table, to the point."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from inventory.shapes import Array
from solver.checks.scene.faces import Face, RoundFace, faces
from solver.checks.scene.scene import UP, Scene
from solver.checks.tolerances import LEVEL, TOUCH
from solver.first_article.face_words import face_words, look
from solver.first_article.measures import ArticleMeasure
from solver.first_article.prediction import displacements, worst_and_rss
from solver.first_article.reach import FinishedWeldment, MeasuredFace
from solver.standards.iso13920 import LEAST_MM
from solver.weldment import RESERVED, Tolerance

AS_ASKED = "as asked"
ASKED_POINT = "the point asked for"
Reference = tuple[str, Array]
"""What a tape starts from, in words, and a point of it, (3,)."""


def asked_tolerances(finished: FinishedWeldment) -> Iterator[ArticleMeasure]:
    """Yield every tolerance of the weldment; its predicted error is the one by which the plan was judged."""
    scene = finished.scene
    for tolerance in scene.request.weldment.tolerances:
        point, direction = scene.points(tolerance.point), scene.vector(tolerance.direction)
        own = _face_at(scene, tolerance.part, point, direction)
        on = f"on {own[0]}" if own else f"of {tolerance.part}"
        outward = own[1] if own else np.zeros(3)
        reference = (
            _of_table(scene, direction) if tolerance.relative_to is None else _of_part(finished, tolerance, point, outward)
        )
        words, start = reference
        target = f"{ASKED_POINT} {on}"
        ends = finished.point(tolerance.relative_to or RESERVED, words, start), finished.point(tolerance.part, target, point)
        nominal, predicted = (
            abs(float((point - start) @ direction)),
            worst_and_rss(_errors(finished, tolerance, point, direction)),
        )
        said = f"from {words} to {target}"
        yield ArticleMeasure("asked", said, "tape", ends, round(nominal, 3), tolerance.plus_minus, AS_ASKED, *predicted)


def _errors(finished: FinishedWeldment, tolerance: Tolerance, point: Array, direction: Array) -> Array:
    """Return the point's displacement along the direction, less that of the part it is relative to there, mm, (R, n)."""
    parts = [tolerance.part, tolerance.relative_to]
    moved = [displacements(finished.readings, part, point[None], direction) for part in parts if part is not None]
    if not finished.readings:
        return np.zeros((0, 0))
    errors: Array = moved[0][:, 0] - (moved[1][:, 0] if len(moved) > 1 else 0.0)
    return errors


def _face_at(scene: Scene, part: str, point: Array, direction: Array) -> tuple[str, Array] | None:
    """Return the words and the outward normal of the face on which a point lies, rather one that looks along the direction."""
    known = scene.parts[part]
    found = []
    for shape in faces(known):
        normal = _normal(shape, point)
        if normal is not None and not shape.label.startswith("cutout:"):
            found.append((face_words(known.part, shape.label, normal), normal))
    return min(found, key=lambda each: (-round(abs(float(each[1] @ direction)), 6), each[1][2] < -0.5), default=None)


def _normal(shape: Face | RoundFace, point: Array) -> Array | None:
    """Return the outward normal of a face at a point, None if the point is not on it."""
    if isinstance(shape, RoundFace):
        away = point - shape.origin
        radial = away - float(away @ shape.axis) * shape.axis
        normal = radial / max(float(np.linalg.norm(radial)), 1e-9)
    else:
        normal = shape.normal
    return normal if shape.excess(point[None], -normal) < TOUCH else None


def _of_part(finished: FinishedWeldment, tolerance: Tolerance, point: Array, outward: Array) -> Reference:
    """Return the face to start from: the nearest, or the farther corner if no face looks along the direction.

    Before all others comes a face that looks the same way as the point's own, the tape running inwards from it; then one that
    looks the other way, over all. If the point's own face looks neither way, any face will do.
    """
    assert tolerance.relative_to is not None
    direction = finished.scene.vector(tolerance.direction)
    both = [face for sign in (1, -1) for face in finished.looking(tolerance.relative_to, sign * direction)]
    faces = [face for face in both if abs(_inward(face, point)) >= LEAST_MM]
    neither = abs(float(outward @ direction)) < 0.5
    faces = [face for face in faces if neither or _inward(face, point) > 0] or faces
    if not faces:
        corners = finished.scene.parts[tolerance.relative_to].block.corners
        far = np.argmax(np.round(np.abs((corners - point) @ direction), 3))
        return f"the outermost corner of {tolerance.relative_to}", corners[int(far)]
    face = min(faces, key=lambda face: (float(face.normal @ outward) < 0.5, abs(round(_inward(face, point), 3))))
    beside = np.linalg.norm(face.spots - point - ((face.spots - point) @ direction)[:, None] * direction, axis=1)
    return face.words, face.spots[int(np.argmin(np.round(beside, 3)))]


def _inward(face: MeasuredFace, point: Array) -> float:
    """Return how far a point lies behind a face's plane, mm."""
    return face.height - float(point @ face.normal)


def _of_table(scene: Scene, direction: Array) -> Reference:
    """Return the table's top or the edge from which a direction leads away; its outermost corner if that is slanted."""
    origin = np.zeros(3)
    if abs(float(direction @ UP)) > 1 - LEVEL:
        return "the top of the table", origin
    level = np.abs(direction) > LEVEL
    if level.sum() == 1:
        return f"the {look(-np.abs(direction))} edge of the table", origin
    corners = np.column_stack([scene.slab_outline, np.zeros(4)])
    return "the outermost corner of the table", corners[int(np.argmin(np.round(corners @ direction, 3)))]
