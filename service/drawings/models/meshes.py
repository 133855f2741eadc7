"""Prisms as closed triangle meshes, exact to rounding; manifold3d is imported when the first is asked for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array, Prism

Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Mesh:
    """A closed surface.

    Parameters
    ----------
    vertices : (n, 3) array
        Corners in the table frame, mm, each once.
    triangles : (m, 3) array
        Three corners each, counter-clockwise seen from outside.
    """

    vertices: Array
    triangles: Indices

    @property
    def corners(self) -> Array:
        """The corners of each triangle, (m, 3, 3)."""
        found: Array = self.vertices[self.triangles]
        return found

    @property
    def normals(self) -> Array:
        """The unit normal of each triangle, (m, 3), outwards; of one without area, any."""
        a, b, c = np.moveaxis(self.corners, 1, 0)
        across = np.cross(b - a, c - a)
        lengths = np.linalg.norm(across, axis=1, keepdims=True)
        found: Array = np.where(lengths > 0, across / np.where(lengths > 0, lengths, 1.0), (0.0, 0.0, 1.0))
        return found

    @property
    def volume(self) -> float:
        """What the surface encloses, mm3."""
        a, b, c = np.moveaxis(self.corners - self.vertices.mean(axis=0), 1, 0)
        return float(np.einsum("nk,nk->", a, np.cross(b, c)) / 6)


def mesh(solid: Prism) -> Mesh:
    """Return a prism's surface: its outline without its cut-outs, extruded, less what its cuts take away."""
    from manifold3d import CrossSection, FillRule

    rings = [np.array(ring, dtype=float) for ring in (solid.outline, *solid.cutouts)]
    body = CrossSection(rings, FillRule.EvenOdd).extrude(solid.end - solid.start).translate((0.0, 0.0, solid.start))
    for cut in solid.cuts:
        body = body.trim_by_plane(tuple(-n for n in cut.normal), -cut.offset)
    found = body.transform(np.array(solid.frame, dtype=float)[:3]).to_mesh64()
    return Mesh(np.array(found.vert_properties[:, :3]), np.array(found.tri_verts, dtype=np.int64))
