"""How long a plan takes to draw in every format there is, warm: the first drawing, which loads the libraries, is not counted.

python -m tests.benchmarks sheets [JOB ...]
"""

from __future__ import annotations

import time

from service.drawings.formats import FORMATS
from service.drawings.sheets.wanted_format import offered
from tests.service.drawings.kept import kept

JOBS = ("hinge-lug", "stepped-stand", "braced-frame", "frame-20")


def report(job: str) -> None:
    """Print the CPU seconds of every format of a kept plan."""
    of = kept(job)
    found = {name: drawing_time(job, name) for name in FORMATS if name in offered()}
    said = "  ".join(f"{name} {seconds:.2f}" for name, seconds in found.items())
    print(f"{job:<14} {len(of.alternative.parts):>2} parts {len(of.alternative.placements):>2} pieces   {said}")


def drawing_time(job: str, format: str) -> float:
    """Return the CPU seconds of drawing a kept plan in a format once more."""
    FORMATS[format].content(kept(job))
    began = time.process_time()
    FORMATS[format].content(kept(job))
    return time.process_time() - began
