"""A round tube in two V-blocks: lines instead of faces, rank five, no spin to hold; and round parts on the bare table."""

from __future__ import annotations

import copy
import math
from dataclasses import replace

import numpy as np
import pytest

from inventory.items import Contact, Item, Solid
from inventory.shapes import Prism
from inventory.stock import StockSnapshot
from solver.checks import check
from solver.checks.scene.reading import read_alternative
from solver.checks.scene.scene import Scene, set_scene
from solver.checks.scene.table_contact import table_patch
from solver.plans import Cost
from solver.request import Request
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import Document, move, placement

ROOT = math.sqrt(0.5)
AXIS = 20 + 30 * math.sqrt(2)
"""Height of the tube's axis: the groove's bottom at 20, and a right angle round a radius of 30."""
SIDE, LOW = 30 * ROOT, AXIS - 30 * ROOT


def vee() -> Item:
    """A V-block with its groove along x and its bottom 20 above the table."""
    outline = ((-34.0, 0.0), (34.0, 0.0), (34.0, 50.0), (30.0, 50.0), (0.0, 20.0), (-30.0, 50.0), (-34.0, 50.0))
    body = Prism(outline, -15, 15, frame=((0, 0, 1, 0), (1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 0, 1)))
    flanks = tuple(Contact((0, s * 15, 35), (0, -s * ROOT, ROOT), 30, 40) for s in (1, -1))
    return replace(b.rest("vee"), kind="vee", solids=(Solid(body),), contacts=flanks)


def stock() -> StockSnapshot:
    return b.shelf((vee(), 2), (b.stop("tall", height=80), 1), (b.down_clamp("long", reach=120), 1))


def request() -> Request:
    tube = Part("tube", Section("round_tube", diameter=60, wall=3), 400, Pose((0, 0, 30), b.X, b.Z))
    return b.request(b.weldment(tube))


def flank(x: float, side: int) -> Document:
    """The line along which a groove's flank carries the tube."""
    at = [x, 280 + side * SIDE, LOW]
    patch = [[x - 15, at[1], LOW], [x + 15, at[1], LOW]]
    return {"part": "tube", "face": "side:0", "at": at, "normal": [0, -side * ROOT, ROOT], "patch": patch}


def alternative() -> Document:
    """The tube at x 135..535 in V-blocks at x 200 and 440, against an end stop, under one clamp."""
    items = stock().items
    roles = [("tube", "support"), ("tube", "side")]
    place = [[1, 0, 0, 135], [0, 1, 0, 280], [0, 0, 1, AXIS - 30], [0, 0, 0, 1]]
    top = AXIS + 30
    clamp = {
        "part": "tube",
        "face": "side:0",
        "at": [440, 280, top],
        "normal": [0, 0, -1],
        "patch": [[432, 280, top], [448, 280, top]],
    }
    end = job.pad("tube", "start", (135, 280, 50), (1, 0, 0), y=(266, 294), z=(40, 80))
    section = request().weldment.parts[0].section
    solid = Prism(section.outline, 0, 400, section.cutouts)
    return {
        "rank": 1,
        "title": "cheapest",
        "table": "T1",
        "cost": dict.fromkeys(Cost.__dataclass_fields__, 0),
        "setup_s": 0,
        "cycle_s": 0,
        "lie": {"down": "-z", "turn": 0},
        "weldment_to_table": place,
        "parts": [
            {
                "id": "tube",
                "solids": [job.prism(solid, np.array(place) @ request().weldment.parts[0].pose.frame())],
                "rests_on": ["v1", "v2"],
            }
        ],
        "placements": [
            job.piece(items["vee"], "v1", "E7", 0, roles, [flank(200, 1), flank(200, -1)]),
            job.piece(items["vee"], "v2", "K7", 0, roles, [flank(440, 1), flank(440, -1)]),
            job.piece(items["tall"], "e1", "C7", 270, [("tube", "end")], [end]),
            job.piece(items["long"], "c1", "K4", 0, [], [clamp], setting=top - 5),
        ],
        "part_contacts": [],
        "welds": [],
        "load": [{"part": "tube", "moves": [move(0, 0, -1, 200), move(-1, 0, 0, 5)], "then_close": ["c1"]}],
        "unload": {"pull": [], "open": ["c1"], "moves": [move(0, 0, 1, 200)]},
        "kit": [{"item": item, "count": count, "bin": "A1"} for item, count in (("vee", 2), ("tall", 1), ("long", 1))],
        "differs": "",
    }


def failed(document: Document, request_: Request | None = None) -> set[str]:
    """Return the rules broken, price aside."""
    plan = job.plan() | {"alternatives": [document], "rules": {}, "cost_bound_cents": document["cost"]["total_cents"]}
    findings = check(request_ or request(), stock(), plan).failed
    return {finding.rule for finding in findings if not finding.rule.startswith("cost.")}


def test_a_round_tube_in_two_grooves_with_one_end_stop_is_located() -> None:
    assert failed(alternative()) == set()


def test_one_groove_does_not_locate_it() -> None:
    document = alternative()
    placement(document, "v2")["locates"] = []
    assert "locate.condition_max" in failed(document)


def test_without_an_end_stop_it_slides() -> None:
    document = alternative()
    placement(document, "e1")["locates"] = []
    assert {"locate.condition_max", "locate.end_points"} <= failed(document)


@pytest.mark.parametrize(("drop", "rules"), [(0.15, set()), (0.35, {"contacts.patch_in_face"})])
def test_a_circle_touches_within_3_thousandths_of_its_diameter(drop: float, rules: set[str]) -> None:
    # 0.3 % of 60 mm is 0.18 mm, and 0.05 mm count as touching.
    document = alternative()
    for id in ("v1", "v2"):
        for contact in placement(document, id)["contacts"]:
            for point in (contact["at"], *contact["patch"]):
                point[1] -= np.sign(point[1] - 280) * drop * ROOT
                point[2] += drop * ROOT
    found = failed(document)
    assert found & {"contacts.patch_in_face"} == rules


def test_a_normal_off_the_radius_is_seen() -> None:
    document = alternative()
    for contact in placement(document, "v1")["contacts"]:
        contact["normal"] = [0, 0, 1]
    assert "contacts.normal" in failed(document)


def on_the_table(pose: Pose, at: tuple[float, float, float]) -> Scene:
    """A round bar of 40 mm standing or lying by itself."""
    bar = Part("tube", Section("round_bar", diameter=40), 300, pose)
    document = copy.deepcopy(alternative())
    document["placements"] = []
    document["weldment_to_table"] = [[1, 0, 0, at[0]], [0, 1, 0, at[1]], [0, 0, 1, at[2]], [0, 0, 0, 1]]
    return set_scene(b.request(b.weldment(bar)), stock(), request().rules, read_alternative(document))


def test_a_bar_lying_on_the_table_touches_along_a_line() -> None:
    scene = on_the_table(Pose((0, 0, 20), b.X, b.Z), (100, 200, 0))
    assert np.allclose(table_patch(scene, scene.parts["tube"]), [[100, 200, 0], [400, 200, 0]])


def test_a_line_ends_at_the_edge_of_the_table() -> None:
    scene = on_the_table(Pose((0, 0, 20), b.X, b.Z), (-120, 200, 0))
    assert np.allclose(table_patch(scene, scene.parts["tube"]), [[0, 200, 0], [180, 200, 0]])


def test_a_bar_standing_on_the_table_touches_with_its_end() -> None:
    scene = on_the_table(Pose((0, 0, 0), b.Z, b.X), (500, 300, 0))
    patch = table_patch(scene, scene.parts["tube"])
    assert len(patch) == 48
    assert np.allclose(np.ptp(patch[:, :2], axis=0), 40, atol=0.1)


def test_a_bar_in_the_air_touches_nothing() -> None:
    scene = on_the_table(Pose((0, 0, 20), b.X, b.Z), (100, 200, 5))
    assert len(table_patch(scene, scene.parts["tube"])) == 0


def test_mass_and_inertia_of_a_tube_by_its_closed_form() -> None:
    # Hand calculation: pi/4 (60^2 - 54^2) x 400 x 7850e-9 = 1.6868 kg; I about its axis = m (30^2 + 27^2) / 2 = 1373.9 kg mm2.
    scene = set_scene(request(), stock(), request().rules, read_alternative(alternative()))
    inertia = scene.parts["tube"].inertia
    assert inertia.mass == pytest.approx(1.6868, abs=1e-4)
    assert inertia.tensor[0, 0] == pytest.approx(1373.9, abs=0.1)
    assert np.allclose(inertia.centre, (335, 280, AXIS))
