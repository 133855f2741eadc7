"""Stock lists through spreadsheets: what they write is read, what they would run is escaped, every fault is named by row."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.errors import InvalidDocument
from service.exchange.cells import Unreadable, cents, escaped, number, plain, whole
from service.exchange.stock_csv import StockRow, read, written

printable = st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=20)
ids = printable.filter(str.strip)
amounts = st.integers(0, 1_000_000)
stock_rows = st.builds(
    StockRow,
    row=st.just(2),
    item=ids,
    count=amounts,
    out_of_service=st.just(0),
    bin=printable,
    price_cents=amounts,
    day_rate_cents=amounts,
    version=amounts,
    name=printable,
    kind=st.just("riser"),
)


@given(stock_rows, st.sampled_from((",", ";")))
def test_what_is_written_is_read_back(row: StockRow, separator: str) -> None:
    assert read(written([row], separator)) == ([row], [])  # type: ignore[arg-type]


@given(st.text(max_size=8))
def test_escaping_can_be_undone_and_leaves_no_formula(text: str) -> None:
    assert plain(escaped(text)) == text
    assert not escaped(text).startswith(("=", "+", "-", "@", "\t", "\r"))


def test_no_cell_starts_a_formula() -> None:
    nasty = StockRow(2, "=1+1", 3, bin="@A1", name="-2+3", kind="riser")
    cells = next(reversed(list(csv.reader(io.StringIO(written([nasty]).decode("utf-8-sig"))))))
    assert cells[:4] == ["'=1+1", "'-2+3", "riser", "'@A1"]


def test_the_file_spreadsheets_like() -> None:
    text = written([StockRow(2, "riser-75", 8, 1, "A3", 4250, 40, 7, "Riser, 75", "riser")], ";")
    assert text.startswith(b"\xef\xbb\xbf")
    assert text.decode("utf-8-sig") == (
        "item;name;kind;bin;count;out_of_service;price;day_rate;version\r\nriser-75;Riser, 75;riser;A3;8;1;42,50;0,40;7\r\n"
    )


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("8", 8), ("8,0", 8), ("8.00", 8), (" 8 ", 8), ("1 200", 1200), ("1\u202f200", 1200), ("1\u00a0200", 1200),
        ("1'200", 1200),
        ("٣", 3),  # digits of other scripts are digits to Python, and to their readers
        ("1.200,0", 1200), ("1,200.0", 1200), ("1.200.000", 1_000_000 + 200_000), ("-3", -3), ("+3", 3), ("0012", 12), ("8.", 8),
    ],
)  # fmt: skip
def test_whole_numbers_as_people_write_them(cell: str, value: int) -> None:
    assert whole(cell) == value


@pytest.mark.parametrize(
    ("cell", "says"),
    [
        ("1,200", "could be 1200 or 1.200"),
        ("1.200", "could be 1200 or 1.200"),
        ("8,5", "not a whole number"),
        ("=SUM(A1:A3)", "formula"),
        ("eight", "not a number"),
        ("1E+03", "not a number"),
        ("1,2,3", "not a number"),
        ("1,2.3,4", "mixes"),
        ("1.20,50", "mixes"),
        ("nan", "not a number"),
        ("", "not a number"),
    ],
)
def test_numbers_nobody_should_guess(cell: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        whole(cell)


def test_money_has_cents_and_no_more() -> None:
    assert [cents(cell) for cell in ("42,50", "42.5", "42", "1.250,00", "0,40")] == [4250, 4250, 4200, 125000, 40]
    with pytest.raises(Unreadable, match="more than two decimals"):
        cents("0,405")
    assert number("0,405") == Decimal("0.405")


@pytest.mark.parametrize(
    "raw",
    [
        b"item,count\nriser-75,8\n",
        b"\xef\xbb\xbfitem;count\r\nriser-75;8\r\n",
        b"sep=;\r\nitem;count\r\nriser-75;8,0\r\n",
        b'item\tcount\r\n"riser-75"\t8',
        "item;count\r\nriser-75;8\r\n".encode("utf-16"),
        b"Item,Count,,\nriser-75,8,,\n\n,,,\n",
    ],
)
def test_files_as_spreadsheets_leave_them(raw: bytes) -> None:
    rows, faults = read(raw)
    assert faults == []
    assert [(row.item, row.count) for row in rows] == [("riser-75", 8)]


def test_every_fault_by_row_as_the_spreadsheet_numbers_them() -> None:
    raw = (
        b"item,count,out_of_service,price\nriser-75,8,9,1\n\nstop-60,many,0,1\n,1,0,1\n"
        b"riser-75,1,0,x\nriser-75,1,0,1\nriser-75,1\npin,1,0,1,9\n"
    )
    rows, faults = read(raw)
    assert [row.row for row in rows] == [7]
    assert [(fault.pointer, fault.wrong) for fault in faults] == [
        ("/rows/2/out_of_service", "9 of 8 pieces"),
        ("/rows/4/count", "'many' is not a number"),
        ("/rows/5/item", "empty"),
        ("/rows/6/price", "'x' is not a number"),
        ("/rows/8/item", "'riser-75' stands in row 7 already"),
        ("/rows/9", "'9' stands beyond the last column"),
    ]


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "the column item is missing"),
        (b"item,cnt\n", "there is no column 'cnt'"),
        (b"item,count,count\n", "twice"),
        (b"item,count\nr\xe4iser,1\n", "not UTF-8"),
        ("item,count\nriser,1\n".encode("utf-16")[:-1], "not UTF-16, as its first two bytes say"),
        ("item,count\nriser,1\n".encode("utf-16-le"), "there is no column"),
        ("item,count\nriser,1\n".encode("utf-32"), "there is no column"),
        (b"item,count\n" + b"x" * 1_000_000 + b",1\n", "field larger than field limit"),
        (b'item,count\nriser,1\n"' + b"x,\n" * 100_000, "not CSV"),
        (b'item,count\n"riser,1\n', "not CSV"),
        (b"x" * 5_000_001, "at most 5,000,000 bytes|5,000,001 bytes"),
    ],
)
def test_files_that_are_no_stock_list(raw: bytes, says: str) -> None:
    with pytest.raises(InvalidDocument, match=says):
        read(raw)


@given(st.binary(max_size=60))
def test_no_file_makes_it_stumble(raw: bytes) -> None:
    try:
        read(b"item,count,price\n" + raw)
        read(raw)
    except InvalidDocument:
        pass
