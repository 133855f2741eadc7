"""Names come back out of a DXF file as they went in, whatever signs they hold."""

from __future__ import annotations

from ezdxf.lldxf.encoding import decode_dxf_unicode, has_dxf_unicode, has_mif_encoding
from ezdxf.tools.text import plain_text
from hypothesis import given
from hypothesis import strategies as st

from inventory import limits
from service.drawings.dxf.texts import LONGEST, facts, shown, written
from tests.service.drawings.dxf.reading import letters

names = st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")) | st.sampled_from("^%\\U+M0041cduo"), max_size=64)


@given(names)
def test_a_name_is_read_back(name: str) -> None:
    assert letters(written(name)) == name


@given(names)
def test_no_name_begins_a_coded_character_but_a_backslash(name: str) -> None:
    text = written(name).replace("\\U+005C", "")
    assert not has_dxf_unicode(text) and not has_mif_encoding(text)


def test_a_shown_text_holds_no_code() -> None:
    for name in ("50 %", "50%%d", "%%%", "100 %%u under %%o over", "a^Ib", "^ I", "x ^J y"):
        assert plain_text(decode_dxf_unicode(shown(name))) == name


@given(names.filter(bool))
def test_long_values_are_told_in_parts_of_255_bytes_at_most(name: str) -> None:
    tags = facts(id=name, number=3, station=None)
    assert all(code == 1000 and isinstance(value, str) and len(value.encode()) <= 255 for code, value in tags)
    pairs = [(str(tags[at][1]), str(tags[at + 1][1])) for at in range(0, len(tags), 2)]
    assert "".join(letters(value) for key, value in pairs if key == "id") == name
    assert pairs[-1] == ("number", "3") and "station" not in {key for key, _ in pairs}


def test_an_empty_value_is_told() -> None:
    assert facts(item="") == [(1000, "item"), (1000, "")]
    assert LONGEST < limits.ID_LENGTH
