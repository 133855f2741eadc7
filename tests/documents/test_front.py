"""The repository's front keeps its word: links lead somewhere, the two commands are the ones that run, pins are complete."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
import typer.main

from service.command_line.main import app
from service.demo import job_names
from tests.documents.generated_pages import PAGES as MADE
from tests.documents.pages import PAGES, ROOT, blocks

README = ROOT / "README.md"
LOCK = ROOT / "requirements.lock"

CHOSEN = re.compile(r"\b(?:NAME|PACKAGE|TOPIC|SHAPE|DOCUMENT)\b")


def project() -> dict[str, object]:
    found: dict[str, object] = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    return found


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_to_files_that_exist(page: Path) -> None:
    targets = re.findall(r"\]\(([^)#:\s]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
    missing = [target for target in targets if not (page.parent / target).exists()]
    assert not missing


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_folders_and_files_named_on_a_page_exist(page: Path) -> None:
    """Words in capitals stand for a name that a reader chooses; a guide's test looks at those."""
    named = re.findall(r"`((?:service|solver|inventory|tests|docs|\.ci)/[\w./]*)`", page.read_text(encoding="utf-8"))
    missing = [name for name in named if not any(ROOT.glob(CHOSEN.sub("*", name)))]
    assert not missing


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_commands_named_on_a_page_exist(page: Path) -> None:
    known = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    named = re.findall(r"`holdwright ([a-z]+)", page.read_text(encoding="utf-8"))
    assert [name for name in named if name not in known] == []


def test_the_readme_sets_up_and_runs_with_two_commands() -> None:
    commands = [block.text.strip() for block in blocks(README) if block.word == "not run"]
    assert len(commands) == 2
    assert all(command.startswith("python3 -m venv .venv && .venv/bin/pip install ") for command in commands)
    assert commands[0].endswith(".venv/bin/holdwright demo")


def test_ci_runs_the_readmes_test_command_word_for_word() -> None:
    command = [block.text.strip() for block in blocks(README) if block.word == "not run"][1]
    assert command in (ROOT / ".ci" / "run").read_text().splitlines()


def test_every_requirement_is_pinned_exactly() -> None:
    pins = {re.split("==", line)[0].lower().replace("_", "-"): line for line in LOCK.read_text().splitlines()}
    assert all(re.fullmatch(r"[\w.-]+==[\w.+!-]+", line) for line in pins.values())
    asked = project()
    extras = asked["optional-dependencies"]
    wanted = [*asked["dependencies"], *(entry for entries in extras.values() for entry in entries)]  # type: ignore[misc, attr-defined]
    names = {re.split(r"[\[<>=!~ ;]", entry)[0].lower().replace("_", "-") for entry in wanted}
    assert names - set(pins) == set()


@pytest.mark.parametrize("name", MADE)
def test_pages_made_from_the_code_say_what_the_code_says(name: str) -> None:
    assert (ROOT / "docs" / name).read_text(encoding="utf-8") == MADE[name](), (
        "make it anew: python -m tests.documents.generated_pages"
    )


def test_cautions_name_every_danger_and_defer_to_those_in_charge() -> None:
    cautions = README.read_text().split("## Cautions")[1].lower()
    for word in (
        "fumes",
        "arc radiation",
        "burns",
        "fire",
        "shock",
        "pinch",
        "stored energy",
        "heavy",
        "local",
        "employer",
        "qualified",
    ):
        assert word in cautions


def test_the_demo_jobs_named_on_pages_exist() -> None:
    named = [name for page in PAGES for name in re.findall(r"holdwright demo ([a-z][\w-]*)", page.read_text(encoding="utf-8"))]
    assert set(named) <= set(job_names())
