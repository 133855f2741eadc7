"""Files: laid out to be read, written whole, refused with a reason."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.errors import InvalidDocument
from service.files import laid_out, read_bytes, write_text
from service.text import printable

values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=40,
)


@given(values)
def test_the_layout_never_changes_the_value(value: object) -> None:
    assert json.loads(laid_out(value)) == value


def test_a_point_stays_on_one_line() -> None:
    text = laid_out({"outline": [[k, k + 0.5] for k in range(60)]})
    assert "[3, 3.5]" in text
    assert max(len(line) for line in text.splitlines()) <= 130


def test_what_is_not_finite_is_not_written() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        laid_out({"value": float("nan")})


def test_a_failed_write_leaves_the_old_file_and_no_litter(tmp_path: Path) -> None:
    target = tmp_path / "plan.json"
    write_text(target, "old")
    with pytest.raises(UnicodeEncodeError):
        write_text(target, "half \ud800")
    assert target.read_text() == "old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan.json"]


@pytest.mark.parametrize("name", ["absent.json", "."])
def test_an_unreadable_file_is_a_fault_with_a_remedy(tmp_path: Path, name: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        read_bytes(tmp_path / name)
    assert refused.value.faults[0].accepted == "a readable file"


def test_a_file_may_be_as_large_as_the_limit_and_no_larger(tmp_path: Path) -> None:
    (tmp_path / "f").write_bytes(b"12345")
    assert read_bytes(tmp_path / "f", 5) == b"12345"
    with pytest.raises(InvalidDocument, match="larger than 4 bytes"):
        read_bytes(tmp_path / "f", 4)


def test_no_document_can_steer_a_terminal() -> None:
    assert printable("a\x1b[31mred\u202eback\n") == "a\\x1b[31mred\\u202eback\\n"
    assert printable("Stück 5 µm") == "Stück 5 µm"
