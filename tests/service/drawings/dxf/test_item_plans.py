"""Items as DXF: sound to readers, every solid, peg and pad on its layer."""

from __future__ import annotations

import io

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline, Polyline

from inventory.items import Item
from service.drawings.dxf.item_plans import LAYERS, items_dxf
from service.drawings.items.shown_items import ShownItems
from tests.builders import adjustable_stop, down_clamp, rest, side_clamp
from tests.service.drawings.dxf.reading import facts_of


def opened(*items: Item, pitch: float | None = 40.0) -> Drawing:
    text = items_dxf(ShownItems(items, pitch))
    assert text == items_dxf(ShownItems(items, pitch))
    drawing = ezdxf.read(io.StringIO(text))
    audited = drawing.audit()
    assert not [*audited.errors, *audited.fixes]
    return drawing


def outlines(drawing: Drawing, layer: str) -> list[LWPolyline]:
    found = drawing.modelspace().query(f"LWPOLYLINE[layer=='{layer}']")
    return [entity for entity in found if isinstance(entity, LWPolyline)]


def test_an_item_alone_lies_in_its_own_frame() -> None:
    drawing = opened(adjustable_stop())
    (solid,), (moves,) = outlines(drawing, "SOLIDS"), outlines(drawing, "MOVES")
    assert list(solid.get_points("xy")) == [(-15, -15), (15, -15), (15, 10), (-15, 10)]
    assert facts_of(moves)["solid"] == "adjustable solid 2, moves"
    (pad,) = drawing.modelspace().query("POLYLINE[layer=='PADS']")
    assert isinstance(pad, Polyline)
    assert {tuple(round(c, 6) for c in p) for p in pad.points()} == {(x, 20, z) for x in (-14, 14) for z in (10, 60)}
    assert {layer.dxf.name for layer in drawing.layers} >= set(LAYERS)


def test_pegs_are_where_the_lattice_has_them() -> None:
    centres = [circle.dxf.center for circle in opened(side_clamp()).modelspace().query("CIRCLE")]
    assert [(c.x, c.y) for c in centres] == [(0, 0), (0, -40)]
    assert len(opened(side_clamp(), pitch=None).modelspace().query("CIRCLE")) == 1, "no pitch, no place beside the origin"


def test_a_tips_way_is_a_line_in_space() -> None:
    (reach,) = opened(down_clamp()).modelspace().query("LINE[layer=='REACH']")
    assert (tuple(reach.dxf.start), tuple(reach.dxf.end)) == ((0, 60, 5), (0, 60, 105))


def test_many_lie_apart() -> None:
    items = [rest(f"rest-{k}") for k in range(7)]
    boxes = [list(one.get_points("xy")) for one in outlines(opened(*items), "SOLIDS")]
    middles = sorted((sum(x for x, _ in box) / 4, sum(y for _, y in box) / 4) for box in boxes)
    assert len(middles) == 7
    assert all(abs(a[0] - b[0]) >= 70 or abs(a[1] - b[1]) >= 70 for k, a in enumerate(middles) for b in middles[k + 1 :])


@pytest.mark.parametrize("id", ['rest "40"', "a^b %%u", "x" * 64])
def test_any_name_can_be_drawn(id: str) -> None:
    assert facts_of(opened(rest(id)).modelspace().query("LWPOLYLINE[layer=='SOLIDS']")[0])["item"] == id
