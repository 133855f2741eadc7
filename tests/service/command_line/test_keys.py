"""`holdwright keys`, and a server that others can reach is not started without one."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from service.command_line import serve as serving
from service.command_line.main import app
from service.errors import KeyNeeded
from service.settings import Settings
from solver.planning import plan

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run commands in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(app, list(words))


def test_a_key_is_made_listed_and_revoked(run: Run) -> None:
    made = run("keys", "make", "the office", "--role", "admin", "--expires", "30")
    assert made.exit_code == 0
    assert re.fullmatch(r"hw_[0-9a-f]{8}_[\w-]{43}\n", made.stdout), "nothing but the key, for a file"
    assert "only time" in made.stderr
    document = json.loads(run("keys", "make", "scales", "--role", "reader", "--json").stdout)
    assert (document["role"], document["state"], document["expires_at"]) == ("reader", "live", None)
    lines = run("keys", "list").stdout.splitlines()
    assert lines[0].split() == ["id", "name", "role", "begins", "state", "expires", "last", "used"]
    assert [line.split()[1] for line in lines[1:]] == ["the", "scales"]
    assert run("keys", "revoke", document["prefix"]).exit_code == 0
    assert [key["state"] for key in json.loads(run("keys", "list", "--json").stdout)] == ["live", "revoked"]
    assert all("hash" not in key for key in json.loads(run("keys", "list", "--json").stdout))
    office = json.loads(run("keys", "list", "--json").stdout)[0]
    assert run("keys", "revoke", office["id"], "--json").exit_code == 0


def test_what_cannot_be_is_refused(run: Run) -> None:
    assert run("keys", "list").exit_code == 2, "there is no store, and looking makes none"
    assert not list(Path().iterdir())
    king = run("keys", "make", "x", "--role", "king")
    assert (king.exit_code, "one of reader, planner, storekeeper, engineer, admin" in king.stderr) == (2, True)
    for words in (("make", " ", "--role", "admin"), ("make", "x"), ("make", "x", "--role", "admin", "--expires", "0")):
        assert run("keys", *words).exit_code == 2, words
    run("keys", "make", "x", "--role", "admin")
    nobody = run("keys", "revoke", "nobody")
    assert (nobody.exit_code, "there is no key 'nobody'" in nobody.stderr) == (2, True)


@pytest.mark.parametrize("host", ["0.0.0.0", "::"])
def test_a_server_that_others_can_reach_is_not_started_without_a_key(
    run: Run, host: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    started: list[str] = []
    monkeypatch.setattr(serving, "_until_told_to_stop", lambda server, listener: started.append(listener.getsockname()[0]))
    settings = Settings(host=host, port=0)
    with pytest.raises(KeyNeeded, match="holdwright keys make NAME --role admin"):
        serving.serve(settings, False, lambda: plan)
    assert started == []
    for here in ("127.0.0.1", "127.0.0.2"):
        assert serving.serve(Settings(host=here, port=0), False, lambda: plan) == 0, "this machine alone"
    key = json.loads(run("keys", "make", "first", "--role", "admin", "--json").stdout)
    assert serving.serve(settings, False, lambda: plan) == 0
    run("keys", "revoke", key["id"])
    assert serving.serve(settings, False, lambda: plan) == 0, "nobody comes in, but nothing is open either"
    assert started == ["127.0.0.1", "127.0.0.2", host, host]
