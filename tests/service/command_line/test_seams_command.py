"""`holdwright seams`: proposals as a table, a document and a picture; the weldment welded as it is chosen."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from service.documents import read_weldment, weldment_document
from service.drawings.weldment.seam_picture import seam_picture
from solver.drafting import proposed_seams
from tests import builders as b
from tests.commands import holdwright


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "tab.json").write_text(json.dumps(weldment_document(b.tab_on_tube())))
    return tmp_path


def document(path: Path) -> Any:
    return json.loads(path.read_text())


def test_seams_are_listed_with_sizes_that_are_said_to_be_rules_of_thumb(folder: Path) -> None:
    narrow = os.environ | {"COLUMNS": "80"}
    done = holdwright("seams", "tab.json", "--out", "seams.json", "--picture", "seams.svg", cwd=folder, env=narrow)
    assert done.returncode == 0 and "(common practice, no source; yours to set)" in " ".join(done.stdout.split())
    assert "s1 tab on tube, near side fillet 100 90 z3 square" in " ".join(done.stdout.split())
    assert "4 seams, 2 welded. Nothing is welded by this" in done.stdout
    assert [seam["weld"] for seam in document(folder / "seams.json")["seams"]] == [None, None, "w1", "w2"]
    words = {text.text for text in ElementTree.parse(folder / "seams.svg").iter("{http://www.w3.org/2000/svg}text")}
    assert {"s1", "s2", "s3", "s4", "tab", "tube", "tab on tube, near side"} <= words


def test_a_seams_document_that_was_edited_is_the_choice(folder: Path) -> None:
    holdwright("seams", "tab.json", "--out", "seams.json", cwd=folder)
    edited = document(folder / "seams.json")
    edited["seams"][1] |= {"chosen": True, "throat": 2.5}
    (folder / "seams.json").write_text(json.dumps(edited))
    done = holdwright("seams", "tab.json", "--from", "seams.json", "--welded", "welded.json", cwd=folder)
    assert done.returncode == 0 and "1 new weld on 1 chosen seam" in done.stdout
    assert read_weldment((folder / "welded.json").read_bytes()).welds[2].throat == 2.5
    shorter = document(folder / "tab.json")
    shorter["parts"][0]["length"] = 450
    (folder / "shorter.json").write_text(json.dumps(shorter))
    refused = holdwright("seams", "shorter.json", "--from", "seams.json", cwd=folder)
    assert refused.returncode == 2 and "seams.json#/parts_fingerprint: made for other parts" in refused.stderr


def test_sizes_by_letters_units_kinds_and_seams(folder: Path) -> None:
    words = ("--choose", "all", "--leg", "1/4 in", "--throat", "2", "--size", "flare=a1.5", "--size", "s1=a3,5", "--json")
    made = json.loads(holdwright("seams", "tab.json", *words, cwd=folder).stdout)
    assert [(weld["id"], weld.get("leg"), weld.get("throat")) for weld in made["welds"][2:]] == [
        ("s1", None, 3.5),
        ("s2", None, 1.5),
    ]
    one = json.loads(holdwright("seams", "tab.json", "-c", "s1", "--leg", "1/4 in", "--json", cwd=folder).stdout)
    assert one["welds"][2]["leg"] == 6.35


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--welded", "w.json"), "#/welded: no seam is chosen"),
        (("--leg", "4"), "#/choose: sizes, process or --in-fixture"),
        (("--choose", "tub+tab"), "did you mean 'tube+tab'?"),
        (("--choose", "all", "--size", "s9=3"), "'s9' is neither a kind of weld nor a seam"),
        (("--choose", "all", "--size", "s1=thick"), "#/size: 'thick' is no number"),
        (("--choose", "all", "--in-fixture", "half"), "#/in-fixture: "),
        (("--choose", "all", "--leg", "0"), "#/leg: 0 mm is out of range"),
        (("--choose", "all", "--size", "flare=z3"), "a flare weld has no leg"),
        (("--choose", "all", "--from", "s.json"), "chosen twice"),
    ],
)
def test_options_that_say_nothing_sound_are_exit_code_2(folder: Path, words: tuple[str, ...], said: str) -> None:
    done = holdwright("seams", "tab.json", *words, cwd=folder)
    assert done.returncode == 2 and said in done.stderr and not (folder / "w.json").exists()


def test_a_picture_says_which_numbers_found_no_room() -> None:
    """A rail four metres long, with ribs so near to each other that their numbers would stand over one another."""
    ribs = [b.plate(f"r{k}", (8, 20), 8, (10 + 12 * k, 10, 8)) for k in range(20)]
    weldment = b.weldment(b.plate("base", (4000, 40)), *ribs)
    assert "No room for the numbers of s" in seam_picture(weldment, proposed_seams(weldment), ())
