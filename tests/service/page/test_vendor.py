"""What others wrote stands with its licence and version, and nothing that a browser is sent names another host."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
STATIC = ROOT / "service" / "page" / "static"
VENDORED = {
    "service/page/static/vendor/htmx": ("0BSD|Zero-Clause BSD", 'version:"{version}"'),
    "service/page/static/vendor/three": ("MIT License", "Three.js Authors"),
    "tests/browser/vendor/axe": ("Mozilla Public License, version 2.0", "axe v{version}"),
}
"""Each script, without its ending: words of its licence, and what it says of itself."""
NAMESPACES = {"http://www.w3.org/1999/xhtml", "http://www.w3.org/2000/svg"}
"""What looks like an address and is a name: nothing is fetched from there."""


@pytest.mark.parametrize("name", VENDORED)
def test_a_vendored_script_stands_with_its_licence_and_version(name: str) -> None:
    script, licence = (ROOT / f"{name}{ending}" for ending in (".js", ".licence.txt"))
    words, says = VENDORED[name]
    first, _, terms = licence.read_text(encoding="utf-8").partition("\n")
    version = re.search(r"\d+\.\d+\.\d+", first)
    assert version and re.search(words, terms)
    assert says.format(version=version[0]) in script.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", VENDORED)
def test_the_way_it_was_made_is_written_down_with_its_version(name: str) -> None:
    first = (ROOT / f"{name}.licence.txt").read_text(encoding="utf-8").partition("\n")[0]
    package, version = re.match(r"(\S+) (\d+\.\d+\.\d+)", first).groups()  # type: ignore[union-attr]
    names = {"htmx": "htmx.org", "three.js": "three"}
    assert f"{names.get(package, package)}@{version}" in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_nothing_else_stands_among_the_vendored_scripts() -> None:
    found = {path.relative_to(ROOT).as_posix() for path in (STATIC / "vendor").iterdir()}
    assert found == {f"{name}{ending}" for name in VENDORED if "static" in name for ending in (".js", ".licence.txt")}


def test_the_bundle_has_what_the_view_in_space_takes_and_no_more() -> None:
    """In the commands that made it, in the bundle itself, and in the scripts that import from it."""

    def names(text: str) -> set[str]:
        return {name for name in re.split(r"[\s,]+", text) if name}

    entry = re.search(r"^cat > view.js <<'END'\n(.*?)^END$", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.M | re.S)
    assert entry
    made = names(" ".join(re.findall(r"export \{(.*?)\}", entry[1], re.S)))
    bundle = re.findall(r"export\{([^}]*)\}", (STATIC / "vendor" / "three.js").read_text(encoding="utf-8"))[-1]
    assert {each.rpartition(" ")[2] for each in bundle.split(",")} == made
    taken = (
        re.findall(r"import \{([^}]*)\} from \"../vendor/three.js\"", path.read_text(encoding="utf-8"))
        for path in STATIC.glob("space/*.js")
    )
    assert {name for found in taken for each in found for name in names(each)} == made


def test_nothing_that_is_served_names_another_host() -> None:
    served = [path for path in STATIC.rglob("*") if path.suffix in (".js", ".css", ".html", ".svg")]
    named = {
        (path.relative_to(STATIC).as_posix(), address)
        for path in served
        for address in re.findall(r"""(?:https?:|["'`(])//[\w.-]+\.\w[^\s"'`)]*""", path.read_text(encoding="utf-8"))
    }
    assert served and {(path, address) for path, address in named if address not in NAMESPACES} == set()
