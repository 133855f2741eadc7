"""A tab far out over a tube's side is borne by a rest, and located by stops raised to its height."""

from __future__ import annotations

import pytest

from tests.oracle.jobs.raised import raised_job
from tests.oracle.known import Known, no_dearer


@pytest.mark.slow
def test_a_tab_is_borne_by_a_rest_and_located_by_a_stop_on_a_riser_and_two_slides() -> None:
    assert no_dearer(Known(raised_job, 4, (20.0, 30.0)))
