"""A format is found by its name and by the ending of a file; what is not there is refused with all that is."""

from __future__ import annotations

from pathlib import Path

import pytest

from inventory.errors import InvalidDocument
from service.drawings.sheets.wanted_format import format_named, format_of_file, offered, paper_named


@pytest.mark.parametrize("name", offered())
def test_every_format_is_found_by_name_and_ending(name: str) -> None:
    assert format_named(name).name == name
    suffix = format_named(name).suffix
    assert format_of_file(Path(f"a.b/setup{suffix}")).name == format_of_file(Path(f"SETUP{suffix.upper()}")).name == name


@pytest.mark.parametrize("file", ["setup.xyz", "setup", ".svg", "-"])
def test_an_ending_of_no_format_is_refused(file: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        format_of_file(Path(file))
    assert all(each.suffix in refused.value.faults[0].accepted for each in offered().values())


def test_names_that_are_none_are_refused() -> None:
    assert paper_named("letter") == "letter"
    for refuses in (lambda: format_named("SVG\x1b"), lambda: paper_named("a3")):
        with pytest.raises(InvalidDocument) as refused:
            refuses()
        assert "\x1b" not in str(refused.value)
