"""Meshes are closed, look outwards and enclose just what the prism does."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from inventory.shapes import Prism
from service.drawings.models.meshes import Mesh, mesh
from tests.service.drawings.models.solids import SOLIDS, box

each_solid = pytest.mark.parametrize(("solid", "volume"), SOLIDS.values(), ids=list(SOLIDS))


@each_solid
def test_volume_and_box_are_exact(solid: Prism, volume: float) -> None:
    found = mesh(solid)
    assert found.volume == pytest.approx(volume, rel=1e-8)
    corners = np.stack([found.vertices.min(axis=0), found.vertices.max(axis=0)])
    assert corners == pytest.approx(box((solid,)), abs=1e-6)


@each_solid
def test_a_mesh_is_closed_and_looks_outwards(solid: Prism, volume: float) -> None:
    found = mesh(solid)
    surface = trimesh.Trimesh(found.vertices, found.triangles, process=False)
    assert surface.is_watertight and surface.is_winding_consistent
    assert surface.volume == pytest.approx(volume, rel=1e-8)
    assert np.linalg.norm(found.normals, axis=1) == pytest.approx(1)
    assert found.normals == pytest.approx(surface.face_normals, abs=1e-9)


def test_a_triangle_without_area_has_a_normal_too() -> None:
    flat = Mesh(np.array([(0.0, 0, 0), (1, 0, 0), (2, 0, 0)]), np.array([(0, 1, 2)]))
    assert np.linalg.norm(flat.normals, axis=1) == pytest.approx(1)
