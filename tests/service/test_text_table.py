"""Tables hold every word of every cell in the width there is."""

from __future__ import annotations

from service.text_table import Column, fits, table_lines, wrapped

COLUMNS = (Column("no", right=True), Column("does", wraps=True))
ROWS = [["1", "side of rail, its side:2; carries p6"], ["10", "clamps lug"]]


def test_rows_fit_where_no_word_must_be_cut() -> None:
    assert fits(COLUMNS, ROWS, 28) and not fits(COLUMNS, ROWS, 20)
    assert list(table_lines(COLUMNS, ROWS, 30)) == [
        "no  does",
        " 1  side of rail, its side:2;",
        "    carries p6",
        "10  clamps lug",
    ]


def test_what_goes_on_is_indented_and_no_word_is_cut() -> None:
    assert wrapped("1  in: rail, 2.1 kg; shut p8", 14, "   ") == ["1  in: rail,", "   2.1 kg;", "   shut p8"]
    assert wrapped("unbreakable-word", 5) == ["unbreakable-word"]
