"""Every figure a caller may send fits its column on both databases; one that does not is refused by name, not by the database."""

from __future__ import annotations

from typing import Any

import pytest
import sqlalchemy as sa

from inventory import limits
from inventory.errors import InvalidDocument
from inventory.store import counts, documents, finding, hits, open_store, reservations
from inventory.store.counts import LARGEST_COUNT
from inventory.store.reservations import MOST_PIECES
from inventory.store.schema import metadata
from tests.shelf import MONDAY, READERS, a_store, an_order, by, days

INTEGER = 2**31 - 1  # PostgreSQL's manual, "Numeric Types": integer is 4 bytes


def test_what_the_doors_let_through_fits_an_integer_column() -> None:
    figures = {column.name for table in metadata.tables.values() for column in table.columns if type(column.type) is sa.Integer}
    assert figures == {
        "id", "version", "count", "out_of_service", "pieces", "whole", "broken", "missing", "held", "plan_rank", "reservation",
        "count_change", "out_of_service_change", "rules_version",
    }  # fmt: skip
    assert max(limits.PIECES.high, limits.RANK.high, LARGEST_COUNT, MOST_PIECES) <= INTEGER
    # Sums: of a line's returns no more than were promised, of all promises no more than the count.
    assert 3 * LARGEST_COUNT <= INTEGER


@pytest.mark.parametrize(
    ("spoilt", "pointer"),
    [
        ({"rules_version": 2**31}, "/rules_version"),
        ({"stock_version": 2**63}, "/stock_version"),
        ({"alternatives": [{"rank": 1, "kit": [{"item": "riser-75", "count": 2**31}]}]}, "/alternatives"),
        ({"alternatives": [{"rank": 2**31, "kit": [{"item": "riser-75", "count": 1}]}]}, "/alternatives"),
        ({"alternatives": [{"rank": 1, "kit": [{"item": "a\0", "count": 1}]}]}, "/alternatives"),
    ],
)
def test_a_plan_whose_figures_no_column_holds_is_not_kept(database: str, spoilt: dict[str, Any], pointer: str) -> None:
    store = a_store(database, {"riser-75": 6})
    sound = {"rules_version": INTEGER, "stock_version": limits.VERSION.high, "alternatives": []}
    with pytest.raises(InvalidDocument) as refusal:
        store.write(lambda c: documents.keep_plan(c, "p1", {**sound, **spoilt}, None, days(1), by()))
    assert [fault.pointer for fault in refusal.value.faults] == [pointer]
    assert store.write(lambda c: documents.keep_plan(c, "p1", sound, None, days(1), by())).rules_version == INTEGER
    store.close()


def test_the_largest_counts_there_may_be_are_kept_and_added_up(database: str) -> None:
    store = a_store(database, {"riser-75": LARGEST_COUNT})
    for _ in range(LARGEST_COUNT // MOST_PIECES):
        store.reserve(an_order(riser_75=MOST_PIECES), by(), MONDAY)
    assert store.snapshot(days(2), MONDAY).free("riser-75") == 0
    store.write(lambda c: counts.take_out(c, "riser-75", LARGEST_COUNT, by()))
    (hit,) = store.read(lambda c: hits.hits(c, ["riser-75"], MONDAY))
    assert hit.short == LARGEST_COUNT
    assert len(store.read(lambda c: finding.find(c, finding.Wanted()))) == 10
    store.close()


@pytest.mark.parametrize("text", ["a\0b", "\ud800"])
def test_what_slips_past_a_door_is_a_fault_and_no_mistake(database: str, text: str) -> None:
    """Both databases must refuse alike what neither can keep; SQLite itself would keep a NUL."""
    store = open_store(database, READERS)
    if text == "a\0b" and database.startswith("sqlite"):
        assert store.read(lambda c: counts.lines(c, bin=text)) == []
    else:
        with pytest.raises(InvalidDocument, match="a value that cannot be kept"):
            store.read(lambda c: counts.lines(c, bin=text))
    with pytest.raises(InvalidDocument):
        store.write(lambda c: reservations.reserve(c, an_order(job=text, riser_75=1), by(), MONDAY))
    store.close()
