"""What is loaded to stay costs the collector of garbage nothing."""

from __future__ import annotations

import gc
import subprocess
import sys

import pytest

from service.planning_jobs.loading import load


def test_what_is_loaded_is_out_of_the_collectors_sight() -> None:
    code = (
        "import gc; from service.planning_jobs.loading import load; load('fractions'); import fractions; "
        "print(any(each is fractions.Fraction for each in gc.get_objects()), gc.isenabled())"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "False True\n"


def test_garbage_is_collected_again_if_a_module_is_missing() -> None:
    with pytest.raises(ModuleNotFoundError):
        load("solver.no_such_module")
    assert gc.isenabled()
    gc.unfreeze()
