"""A frame mitred at all corners is located together: one matrix, one tip, every joint pressed; and what spoils it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest

from solver.checks.rules.clamping import check_clamped
from solver.checks.rules.contacts import check_contacts
from solver.checks.rules.located_together import check_together, ring_matrix
from solver.checks.rules.locating import check_located
from solver.checks.rules.locating_error import check_accuracy
from solver.checks.rules.opposed_locators import check_opposed
from solver.checks.rules.side_points import check_side_points
from solver.checks.scene.rings import closed_rings, rings_together
from solver.checks.scene.rows import rows_of
from solver.checks.scene.scene import Scene
from solver.plans import Finding, Placement
from tests.solver.checks import frame_job as job

CHECKS: tuple[Callable[[Scene], Iterator[Finding]], ...] = (
    check_contacts, check_located, check_together, check_side_points, check_opposed, check_clamped,
)  # fmt: skip


def failed(scene: Scene) -> set[tuple[str, str]]:
    return {(found.rule, found.subject) for check in CHECKS for found in check(scene) if not found.ok}


def without(*ids: str) -> list[Placement]:
    return [piece for piece in job.pieces() if piece.id not in ids]


def changed(id: str, **more: object) -> list[Placement]:
    return [replace(piece, **more) if piece.id == id else piece for piece in job.pieces()]  # type: ignore[arg-type]


def test_a_mitred_frame_is_located_together() -> None:
    scene = job.scene()
    (ring,) = rings_together(scene)
    assert ring.parts == ("1", "2", "3", "4") and len(ring.joints) == 4
    assert failed(scene) == set()
    told = {(found.rule, found.subject): found for found in check_together(scene)}
    assert told["locate.together", "1 2 3 4"].value == 1.0
    assert (told["locate.condition_max", "1 2 3 4"].value or 0.0) == pytest.approx(16.66, abs=0.01)


def test_the_rule_book_may_have_each_tube_located_by_itself() -> None:
    found = failed(job.scene(asked=job.request({"locate.together": 0})))
    assert ("locate.end_points", "1") in found
    assert ("locate.together", "l1 1") in found


def test_mitres_alone_let_all_tubes_slide_at_once() -> None:
    """By argument: each tube slides along itself as far as the next; four tubes at rest on their sides are one motion."""
    scene = job.scene()
    parts = tuple(scene.parts)
    rows = {id: [row for row in rows_of(scene, id) if "end" not in row.roles] for id in parts}
    whole = ring_matrix(scene, parts, rows)
    assert np.linalg.matrix_rank(whole, tol=1e-9) == 23
    slide = np.concatenate([[*scene.parts[id].pose[:3, 2], 0.0, 0.0, 0.0] for id in parts])
    assert np.abs(whole @ slide).max() < 1e-9


def test_a_frame_without_its_tip_is_not_located_together() -> None:
    plain = [
        replace(piece, locates=piece.locates[:1], contacts=piece.contacts[:1]) if piece.id == "l1" else piece
        for piece in job.pieces()
    ]
    scene = job.scene(plain)
    assert rings_together(scene) == ()
    assert len(list(closed_rings(scene))) == 1
    assert ("locate.end_points", "1") in failed(scene)


@pytest.mark.parametrize("lacking", ["p2", "p3"])
def test_a_joint_that_no_clamp_presses_is_seen(lacking: str) -> None:
    assert ("locate.together", "1 2 3 4") in failed(job.scene(without(lacking)))


def test_stops_outside_all_four_tubes_face_each_other_across_the_ring() -> None:
    """The right tube on stops outside it: they push to the left, those of the left tube to the right, a frame apart."""
    outside = [
        *without("r1", "r2", "p2"),
        job.placed("r1", "stop", "P6", 90, "side", job.pad("2", "side:2", (-1, 0, 0), (585, 585), (226, 254))),
        job.placed("r2", "stop", "P10", 90, "side", job.pad("2", "side:2", (-1, 0, 0), (585, 585), (386, 414))),
    ]
    found = failed(job.scene(outside))
    assert {subject for rule, subject in found if rule == "locate.opposed"} == {"l1 r1", "l1 r2", "l2 r1", "l2 r2"}


def test_stops_of_parts_that_are_no_ring_may_look_any_way() -> None:
    """Without the tip the frame is a chain: nothing lies against anything along x."""
    scene = job.scene()
    chain = [
        replace(piece, locates=piece.locates[:1], contacts=piece.contacts[:1]) if piece.id == "l1" else piece
        for piece in job.pieces()
    ]
    outside = [piece for piece in chain if piece.id not in ("r1", "r2")]
    outside.append(job.placed("r1", "stop", "P6", 90, "side", job.pad("2", "side:2", (-1, 0, 0), (585, 585), (226, 254))))
    assert {rule for rule, _ in failed(job.scene(outside))} & {"locate.opposed"} == set()
    assert list(check_opposed(scene)) == []


def test_a_tip_is_met_from_outside_the_part_only() -> None:
    """Pushed to the left at its left tip, the tube lies on both sides of the pad's plane."""
    wrong = job.pad("1", "tip:0", (-1, 0, 0), (135, 135), (135, 135))
    corner = next(piece for piece in job.pieces() if piece.id == "l1")
    found = failed(job.scene(changed("l1", contacts=(corner.contacts[0], wrong))))
    assert ("contacts.normal", "l1 1") in found


@pytest.mark.parametrize(
    ("face", "at", "rule"),
    [
        ("tip:0", (135, 136), "contacts.patch_in_face"),
        ("tip:1", (135, 135), "contacts.normal"),
        ("tip:2", (135, 135), "contacts.face"),
        ("tip:", (135, 135), "contacts.face"),
        ("tip:0:1", (135, 135), "contacts.face"),
    ],
)
def test_a_tip_is_where_the_cut_meets_the_long_face(face: str, at: tuple[float, float], rule: str) -> None:
    tip = job.pad("1", face, (1, 0, 0), (at[0], at[0]), (at[1], at[1]))
    corner = next(piece for piece in job.pieces() if piece.id == "l1")
    assert (rule, "l1 1") in failed(job.scene(changed("l1", contacts=(corner.contacts[0], tip))))


def test_a_pad_in_the_plane_of_the_long_face_is_at_no_tip() -> None:
    """From in front the tube's own face is met, not its edge."""
    flush = job.placed("f0", "stop", "C3", 0, "side", job.pad("1", "tip:0", (0, 1, 0), (135, 135), (135, 135)))
    assert ("contacts.normal", "f0 1") in failed(job.scene([*job.pieces(), flush]))


def test_the_error_of_the_corner_runs_through_the_ring() -> None:
    """By argument: the far right corner moves along x with its own two stops, off by 0.05 mm each: 0.05 + 2 x 0.05 x lever."""
    scene = job.scene(asked=job.request(tolerances=(job.tolerance(1.0),)))
    (found,) = check_accuracy(scene)
    assert found.ok and found.value is not None and 0.05 < found.value < 0.25


def test_an_end_along_the_frame_comes_from_the_tip() -> None:
    """The front tube's place along itself is that of the corner stop, off by 0.05 mm, and what its own stops add by turning it."""
    from solver.weldment import Tolerance

    scene = job.scene(asked=job.request(tolerances=(Tolerance("1", (0, 0, 25), (1, 0, 0), 1.0),)))
    (found,) = check_accuracy(scene)
    assert found.value is not None and 0.049 < found.value < 0.3
