"""What stands for an item, a weldment or a torch changes with every number that its ledgers depend on, and with no other."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest

from inventory.errors import InvalidDocument
from inventory.items import Item
from solver.access.torch import free_torch_directions
from solver.hardware.stacks import single, stacked_on
from solver.laying.lay_out import drawn_samples, lay_out
from solver.rule_book.book import RuleBook
from solver.weldment import OpenDimension, Weldment
from tests import builders as b

NUDGE = 0.125
WITH_OPEN_CLAMP = b.down_clamp()
ITEMS = (b.stop(), b.adjustable_stop(), b.pin(), b.rest(), WITH_OPEN_CLAMP, b.side_clamp())
NOT_SEEN = {
    "place_s", "set_s", "pull_s", "close_s", "open_s", "repeatability_mm", "stiffness_n_per_mm", "mass_kg", "day_rate_cents",
    "price_cents", "lead_days", "carries", "turns", "pegs", "direction",
}  # fmt: skip
"""What of an item neither its bodies nor its pads know: times, prices, how it may stand, which way it presses."""


def nudged(value: Any, name: str = "") -> Iterator[tuple[str, Any]]:
    """Yield a value once for every number in it, with that number a little larger, and the number's place."""
    if isinstance(value, bool) or value is None:
        return
    if isinstance(value, int | float):
        yield name, value + (1 if isinstance(value, int) and name.endswith("_cents") else NUDGE)
    elif isinstance(value, tuple):
        for place, entry in enumerate(value):
            yield from (
                (where, (*value[:place], other, *value[place + 1 :])) for where, other in nudged(entry, f"{name}/{place}")
            )
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        for field in dataclasses.fields(value):
            for where, other in nudged(getattr(value, field.name), f"{name}/{field.name}"):
                try:
                    changed = dataclasses.replace(value, **{field.name: other})
                except InvalidDocument:
                    continue
                if changed != value:  # directions may be of any length
                    yield where, changed


def stack_content(item: Item) -> bytes:
    return single(item, 0.0).content


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.id)
def test_every_number_of_an_item_that_can_be_met_counts(item: Item) -> None:
    seen = 0
    for place, other in nudged(item):
        if not NOT_SEEN & set(place.split("/")):
            assert stack_content(other) != stack_content(item), place
            seen += 1
    assert seen > 10


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.id)
def test_no_price_time_or_name_of_an_item_counts(item: Item) -> None:
    for place, other in nudged(item):
        if NOT_SEEN & set(place.split("/")):
            assert stack_content(other) == stack_content(item), place
    assert stack_content(dataclasses.replace(item, id="other", name="another")) == stack_content(item)


def test_what_a_piece_stands_on_counts() -> None:
    stop = b.stop()
    on = [stacked_on(stop, 0.0, single(b.riser(height=height), 0.0), 40.0)[0] for height in (40, 41)]
    assert len({single(stop, 0.0).content, *(stack.content for stack in on)}) == 3
    assert len({single(stop, turn).content for turn in b.SQUARE_TURNS}) == 4


def laid_content(weldment: Weldment) -> bytes:
    return lay_out(weldment, RuleBook(), np.eye(3), 0.0, ()).content


def torch_content(weldment: Weldment) -> bytes:
    samples, _ = drawn_samples(weldment, RuleBook())
    return free_torch_directions(lay_out(weldment, RuleBook(), np.eye(3), 0.0, samples)).content


def test_every_number_of_a_weldment_that_can_be_met_counts() -> None:
    """A weld's size says where the torch points, not where its path is; a path's height is the weldment's, which lies on z = 0."""
    whole = dataclasses.replace(b.tab_on_tube(), open_dimensions=(OpenDimension("tab", (1.0, 0.0, 0.0), -2.0, 2.0),))
    seen = 0
    for place, other in nudged(whole):
        if place.endswith(("/leg", "/throat")) or not _as_drawn(other):
            continue
        assert laid_content(other) != laid_content(whole), place
        seen += 1
    assert seen > 30, seen


def _as_drawn(weldment: Weldment) -> bool:
    """Return whether a weldment lies as it is drawn: its lowest point at z = 0."""
    return abs(lay_out(weldment, RuleBook(), np.eye(3), 0.0, ()).lift) < 1e-9


def test_names_of_parts_and_welds_do_not_count() -> None:
    whole = b.tab_on_tube()
    parts = tuple(dataclasses.replace(part, id=f"{part.id}-2", name="another") for part in whole.parts)
    welds = tuple(dataclasses.replace(weld, id=f"{weld.id}-2", parts=("tube-2", "tab-2")) for weld in whole.welds)
    other = dataclasses.replace(whole, parts=parts, welds=welds, name="another")
    for content in (laid_content, torch_content):
        assert content(other) == content(whole)


@pytest.mark.parametrize("change", [lambda weld: dataclasses.replace(weld, path=((200, -15, 50), (200, 18, 50)))])
def test_where_welds_run_counts_for_the_torch(change: Callable[[Any], Any]) -> None:
    whole = b.tab_on_tube()
    other = dataclasses.replace(whole, welds=(change(whole.welds[0]), *whole.welds[1:]))
    assert torch_content(other) != torch_content(whole)
