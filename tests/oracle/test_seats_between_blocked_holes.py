"""Where holes are blocked, the weldment sits where the cheap fixture finds its holes."""

from __future__ import annotations

from tests.oracle.jobs.joints import tee_job
from tests.oracle.known import Known, no_dearer


def test_a_weldment_sits_where_the_cheap_fixture_finds_its_holes() -> None:
    assert no_dearer(Known(tee_job, 7, (25.0, 15.0)))
