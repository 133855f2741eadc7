"""Each layer of the fence by itself: what the kernel refuses, and what Python refuses where the kernel has no fence."""

from __future__ import annotations

import os
import platform
import subprocess
import sys
from pathlib import Path

import pytest

from tests.service.exchange.weldments.child import small_reader

ASK = """
import os, pathlib, sys
from tests.service.exchange.weldments.child import small_reader
from service.exchange.weldments.child import fence, landlock, system_calls
import socket, resource
own = pathlib.Path.cwd()
if sys.argv[1] == "kernel":
    closed = landlock.close_files(own, fence._program_folders()), system_calls.close_system_calls()
    if closed != (True, True):
        sys.exit("the system has no fence: " + repr(closed))
else:
    sys.addaudithook(fence._hook(own, fence._program_folders()))
(own / "own.txt").write_text("kept")
import json.tool, wave  # what is loaded late is still found
done = []
for name, act in small_reader.ATTEMPTS.items():
    try:
        act()
    except OSError:
        continue
    except ValueError:
        continue
    done.append(name)
print(done)
"""


def tried(layer: str, folder: Path) -> str:
    outside = small_reader.to_stay(os.getpid())
    outside.touch()
    ran = subprocess.run(
        [sys.executable, "-c", ASK, layer],
        check=False,
        capture_output=True,
        text=True,
        cwd=folder,
        env={"PYTHONPATH": ":".join(sys.path)},
    )
    assert outside.exists()
    outside.unlink()
    if "no fence" in ran.stderr and platform.system() != "Linux":
        pytest.skip(ran.stderr)
    assert ran.returncode == 0, ran.stderr
    return ran.stdout.strip()


def test_the_kernel_refuses_whatever_is_tried(tmp_path: Path) -> None:
    assert tried("kernel", tmp_path) == "[]"


def test_python_refuses_by_itself(tmp_path: Path) -> None:
    # Limits that were set are held by the system.
    assert tried("python", tmp_path) == "['limits']"
    assert len(small_reader.ATTEMPTS) == 13
