"""Every kept plan, the demo's jobs and the benchmark's frames, read back from the files for other programs as the plan it is."""

from __future__ import annotations

import csv
import importlib.util
import io
from pathlib import Path

import numpy as np
import pytest
from ezdxf.entities import LWPolyline

from service.drawings.formats import FORMATS
from service.drawings.models.bodies import bodies
from service.drawings.placing_order import placing_order
from service.drawings.scene import scene
from solver.first_article import first_article
from tests.service.drawings.dxf.reading import facts_of, opened
from tests.service.drawings.kept import AGAIN, KEPT, LARGEST, SMALLER, corners, kept
from tests.service.drawings.models.reading import cylinder_radii, products, solids, volume
from tests.service.drawings.models.solids import box
from tests.service.drawings.models.test_glb import opened as opened_scene
from tests.service.drawings.models.test_glb import seen, surface

of_every_job = pytest.mark.parametrize("name", [*SMALLER, pytest.param(LARGEST, marks=pytest.mark.slow)])


@of_every_job
def test_the_table_has_every_placement_and_kit_line(name: str) -> None:
    one = kept(name).alternative
    raw = FORMATS["csv"].content(kept(name)).decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(raw, newline=""), strict=True))
    placed = [row for row in rows if row["record"] == "placement"]
    assert [(row["piece"], row["item"], row["hole"], row["on"]) for row in placed] == [
        (piece.id, piece.item, piece.hole or "", piece.stands_on or "") for piece in placing_order(one)
    ]
    assert [float(row["turn"]) for row in placed] == pytest.approx([piece.turn for piece in placing_order(one)], abs=5e-4)
    kit = [(row["item"], row["bin"], int(row["count"])) for row in rows if row["record"] == "kit"]
    assert kit == [(line.item, line.bin, line.count) for line in one.kit]


@of_every_job
def test_the_dxf_drawing_is_sound_and_has_every_outline(name: str) -> None:
    """Where a part's end is cut at a slant its silhouette may be a thousandth of a millimetre short."""
    shown = scene(kept(name))
    cut = {part.id for part in shown.parts for solid in part.solids if solid.cuts}
    drawing = opened(kept(name))
    found: dict[str, list[LWPolyline]] = {}
    for layer in ("PARTS", "LOCATORS", "CLAMPS", "CARRIERS"):
        for entity in drawing.modelspace().query(f"LWPOLYLINE[layer=='{layer}']"):
            assert isinstance(entity, LWPolyline) and entity.closed
            found.setdefault(facts_of(entity)["id"], []).append(entity)
    wanted = {part.id: part.shapes for part in shown.parts} | {piece.id: piece.shapes for piece in shown.pieces}
    assert set(found) == set(wanted)
    for id, shapes in wanted.items():
        drawn = [tuple((x, y) for x, y in outline.get_points("xy")) for outline in found[id]]
        rings = [ring for shape in shapes for ring in shape.rings]
        for ring, outline in zip(rings, drawn, strict=True):
            assert corners(outline) == pytest.approx(corners(ring), abs=2e-3 if id in cut else 1e-6)


@of_every_job
def test_the_scene_in_space_has_every_body_closed_and_where_it_is(name: str) -> None:
    scene_read = opened_scene(kept(name))
    known = {body.name: body for body in bodies(kept(name))}
    assert set(scene_read.graph.nodes_geometry) == set(known)
    for node, body in known.items():
        mesh = surface(scene_read, node)
        expected = seen(box(body.solids))
        assert mesh.bounds == pytest.approx(expected, abs=1e-6 * max(1.0, float(np.abs(expected).max())))
        assert np.linalg.norm(mesh.vertex_normals, axis=1) == pytest.approx(1.0, abs=1e-5)


@pytest.mark.skipif(importlib.util.find_spec("OCP") is None, reason="the extra `exchange` is not installed")
@of_every_job
def test_the_step_assembly_has_every_solid(name: str, tmp_path: Path) -> None:
    known = {body.name: body for body in bodies(kept(name)) if body.material != "weld"}
    _, found = products(FORMATS["step"].content(kept(name)), tmp_path)
    assert {product: len(list(solids(shape))) for product, shape, _ in found} == {
        body: len(each.solids) for body, each in known.items()
    }
    for part in kept(name).request.weldment.parts:
        radius = part.section.sizes.get("diameter", 0) / 2 or part.section.outside_radius
        inside = radius - part.section.sizes.get("wall", radius)
        wanted = [r for r in (inside, radius) for _ in range(1 if part.section.round else 4) if r > 0]
        (shape,) = (shape for product, shape, _ in found if product == part.id)
        assert cylinder_radii(shape) == pytest.approx(wanted, abs=1e-9)
        if not part.cuts:
            assert volume(shape) == pytest.approx(part.section.properties.area * part.length, rel=1e-4)


@of_every_job
def test_the_text_names_every_piece(name: str) -> None:
    words = FORMATS["txt"].content(kept(name)).decode().split()
    assert {piece.id for piece in kept(name).alternative.placements} <= set(words)


@pytest.mark.parametrize("name", [name for name in KEPT if name != AGAIN])
def test_the_first_article_predicts_what_the_plan_was_judged_by(name: str) -> None:
    of = kept(name)
    judged = [found.value for found in of.alternative.findings if found.rule == "locate.tolerance_share"]
    asked = [one.worst_mm for one in first_article(of.request, of.stock, of.alternative) if one.kind == "asked"]
    assert asked == pytest.approx(judged, abs=2e-5)
