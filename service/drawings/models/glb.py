"""The plan as a scene for viewers: binary glTF 2.0, metres, y up; trimesh is imported when one is written.

A node for the table's slab, each part, piece and weld, named by its id, with the plan's words of it in the node's ``extras``.
A second scene, which viewers show only if asked, has the clamps that look otherwise when open, as they are then.
Faces are flat: every triangle has corners of its own with its normal. A material a kind.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from inventory.shapes import Array
from service.drawings.models.bodies import FILLS, ModelBody, bodies, open_clamps
from service.drawings.models.meshes import mesh
from service.drawings.subject import Subject
from service.palette import rgb

M_PER_MM = 1e-3
Y_UP = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
"""From the table's axes to the scene's: right stays right, up is y, and what lies back on the table is -z."""


def as_glb(subject: Subject) -> bytes:
    """Return the scene of one alternative as a file."""
    shut = tuple(bodies(subject))
    return glb_of(shut, tuple(open_clamps(subject, (body.name for body in shut))))


def glb_of(shut: Sequence[ModelBody], opened: Sequence[ModelBody] = ()) -> bytes:
    """Return bodies, each under a name of its own, as a file; clamps that look otherwise when open are a scene of their own."""
    from trimesh import Scene
    from trimesh.exchange.gltf import export_glb

    scene = Scene()
    for number, body in enumerate((*shut, *opened)):
        # Names are given in _finished: a scene has a node of its own name for its base, which a part may have too.
        scene.add_geometry(_surface(body), node_name=str(number), geom_name=str(number))
    written: bytes = export_glb(scene, include_normals=True, tree_postprocessor=lambda tree: _finished(tree, shut, opened))
    return written


def linear(colour: str) -> list[float]:
    """Return a colour such as ``#2f6e7a`` as glTF keeps it: red, green, blue, linear from 0 to 1 (IEC 61966-2-1), and opaque."""
    return [*(round(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4, 6) for c in rgb(colour)), 1.0]


def _surface(body: ModelBody) -> Any:
    """Return a body as a trimesh: its solids side by side, three corners a triangle."""
    from trimesh import Trimesh
    from trimesh.visual import TextureVisuals
    from trimesh.visual.material import PBRMaterial

    surfaces = [mesh(solid) for solid in body.solids]
    corners = _seen(np.concatenate([surface.corners for surface in surfaces]).reshape(-1, 3)) * M_PER_MM
    normals = np.repeat(_seen(np.concatenate([surface.normals for surface in surfaces])), 3, axis=0)
    return Trimesh(
        vertices=corners, faces=np.arange(len(corners)).reshape(-1, 3), vertex_normals=normals, process=False,
        visual=TextureVisuals(material=PBRMaterial(name=body.material)),
    )  # fmt: skip


def _seen(rows: Array) -> Array:
    turned: Array = rows @ Y_UP.T
    return turned


def _finished(tree: dict[str, Any], shut: Sequence[ModelBody], opened: Sequence[ModelBody]) -> None:
    """Give nodes and meshes their names and facts, materials their colours, and open clamps a scene of their own."""
    shown = (*shut, *opened)
    tree["asset"]["generator"] = "holdwright"
    if opened:
        apart = [number for number, node in enumerate(tree["nodes"]) if int(node["name"]) >= len(shut)]
        tree["scenes"][0]["nodes"] = [number for number in tree["scenes"][0]["nodes"] if number not in apart]
        tree["scenes"].append({"name": "open", "nodes": apart})
    for node in tree["nodes"]:
        body = shown[int(node["name"])]
        node["name"] = body.name
        node["extras"] = {"kind": body.material, **body.facts}
        tree["meshes"][node["mesh"]]["name"] = body.name
    for material in tree["materials"]:
        material["pbrMetallicRoughness"] = {
            "baseColorFactor": linear(FILLS[material["name"]]), "metallicFactor": 0.0, "roughnessFactor": 0.8,
        }  # fmt: skip
