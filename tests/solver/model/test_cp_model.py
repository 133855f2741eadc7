"""CP-SAT is loaded without pandas, and leaves no trace of the stand-in behind."""

from __future__ import annotations

import subprocess
import sys

import pytest

HERE = "import sys; from solver.model.cp_model import cp_model; "


def printed(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_no_data_frames_are_loaded() -> None:
    assert printed(HERE + "print([name for name in sys.modules if name.startswith('pandas')])") == "[]"


@pytest.mark.parametrize("code", [HERE + "import pandas; ", "import pandas; " + HERE], ids=["afterwards", "before"])
def test_whoever_wants_data_frames_gets_the_real_ones(code: str) -> None:
    assert printed(code + "print(len(pandas.DataFrame({'a': [1, 2]})))") == "2"
