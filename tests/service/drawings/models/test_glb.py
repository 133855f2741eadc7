"""A GLB scene shows every body of the plan where it is, in metres with y up, under its id."""

from __future__ import annotations

import io
import json
from collections import Counter
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import trimesh

from inventory.shapes import Array
from service.drawings.models.bodies import FILLS, bodies
from service.drawings.models.glb import as_glb, linear
from service.drawings.subject import Subject
from solver.plans import PlacedPart
from tests.service.drawings.example import alternative, subject, with_open_clamp
from tests.service.drawings.hostile import CLAMP, FIRST, SECOND, STOP, WELD, WELDMENT, hostile_subject
from tests.service.drawings.models.solids import SOLIDS, box


def of_every_make() -> Subject:
    """The example plan with parts of every make."""
    parts = tuple(PlacedPart(f"part {name}", (solid,), ("table",)) for name, (solid, _) in SOLIDS.items())
    return subject(replace(alternative(), parts=parts))


def opened(subject: Subject) -> trimesh.Scene:
    """Return the scene as another program reads it, its corners unmerged."""
    return trimesh.load_scene(io.BytesIO(as_glb(subject)), file_type="glb", process=False)


def surface(scene: trimesh.Scene, node: str) -> trimesh.Trimesh:
    """Return a node's mesh."""
    transform, geometry = scene.graph[node]
    assert np.array_equal(transform, np.eye(4))
    mesh = scene.geometry[geometry]
    assert isinstance(mesh, trimesh.Trimesh)
    return mesh


def tree(raw: bytes) -> dict[str, Any]:
    """Return the JSON of a GLB file."""
    length = int.from_bytes(raw[12:16], "little")
    found: dict[str, Any] = json.loads(raw[20 : 20 + length])
    return found


def seen(corners: Array) -> Array:
    """Return a box of the table, mm, as the scene has it: x, z, -y, metres."""
    (x0, y0, z0), (x1, y1, z1) = corners
    return np.array([(x0, z0, -y1), (x1, z1, -y0)]) / 1000


@pytest.mark.parametrize("drawn", [subject(), of_every_make()], ids=["example", "every make"])
def test_every_node_is_as_large_as_the_plans_solids(drawn: Subject) -> None:
    scene = opened(drawn)
    known = {body.name: body for body in bodies(drawn)}
    assert set(scene.graph.nodes_geometry) == set(known)
    for name, body in known.items():
        expected = seen(box(body.solids))
        assert surface(scene, name).bounds == pytest.approx(expected, abs=1e-6 * max(1.0, float(np.abs(expected).max())))


def test_every_surface_is_closed_and_flat() -> None:
    scene = opened(of_every_make())
    for node in scene.graph.nodes_geometry:
        mesh = surface(scene, node)
        assert np.linalg.norm(mesh.vertex_normals, axis=1) == pytest.approx(1, abs=1e-6)
        assert mesh.vertex_normals[mesh.faces[:, 0]] == pytest.approx(mesh.vertex_normals[mesh.faces[:, 2]])
        assert mesh.vertex_normals[mesh.faces[:, 0]] == pytest.approx(mesh.face_normals, abs=1e-3)
        _, corner = np.unique(mesh.vertices, axis=0, return_inverse=True)
        sides = Counter(
            (int(a), int(b)) for face in corner.reshape(-1)[mesh.faces] for a, b in zip(face, np.roll(face, -1), strict=True)
        )
        assert all(count == sides[b, a] for (a, b), count in sides.items())


def test_normals_are_in_the_file_itself() -> None:
    assert all("NORMAL" in mesh["primitives"][0]["attributes"] for mesh in tree(as_glb(subject()))["meshes"])


def test_nodes_tell_what_the_plan_says_of_them() -> None:
    nodes = {node["name"]: node["extras"] for node in tree(as_glb(subject()))["nodes"]}
    assert list(nodes)[:2] == ["table", "bar-1"]
    assert nodes["p4"] == {
        "kind": "clamp", "id": "p4", "item": "clamp", "item_name": "clamp", "hole": "F6", "turn": 180.0, "setting_mm": 5.0,
    }  # fmt: skip
    assert opened(subject()).graph.transforms.edge_data["world", "p4"]["metadata"]["item"] == "clamp"


def test_one_material_a_kind_in_its_colour() -> None:
    materials = tree(as_glb(subject()))["materials"]
    assert [material["name"] for material in materials] == ["table", "part", "locator", "clamp", "carrier", "weld"]
    for material in materials:
        assert material["pbrMetallicRoughness"]["baseColorFactor"] == linear(FILLS[material["name"]])


def test_colours_are_linear() -> None:
    """Values of IEC 61966-2-1: black, white, middle grey, and one below the bend."""
    assert linear("#000000") == [0, 0, 0, 1] and linear("#ffffff") == [1, 1, 1, 1]
    assert linear("#80800a")[0] == pytest.approx(0.215861, abs=1e-6)
    assert linear("#80800a")[2] == pytest.approx(10 / 255 / 12.92, abs=1e-6)


def test_any_name_survives() -> None:
    nodes = {node["name"]: node["extras"] for node in tree(as_glb(hostile_subject()))["nodes"]}
    assert {FIRST, SECOND, CLAMP, WELD} <= set(nodes)
    assert (nodes["p1"]["item"], nodes["p1"]["item_name"]) == (STOP, WELDMENT)
    assert {FIRST, SECOND, CLAMP, WELD} <= set(opened(hostile_subject()).graph.nodes_geometry)


def test_a_part_may_be_called_as_the_reader_calls_its_base() -> None:
    first, *others = alternative().parts
    drawn = subject(replace(alternative(), parts=(replace(first, id="world"), *others)))
    assert [node["name"] for node in tree(as_glb(drawn))["nodes"]][:3] == ["table", "world", "bar-2"]


def test_open_clamps_stand_in_a_scene_of_their_own() -> None:
    """Viewers show the first scene: what is shut stays as it was."""
    found = tree(as_glb(with_open_clamp()))
    names = [[found["nodes"][number]["name"] for number in scene["nodes"]] for scene in found["scenes"]]
    assert found["scene"] == 0 and names[0] == [node["name"] for node in tree(as_glb(subject()))["nodes"]]
    assert names[1] == ["p4 open"]
    assert len(tree(as_glb(subject()))["scenes"]) == 1
