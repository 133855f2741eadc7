"""Exact solids enclose just what the prism does, and are sound to the library itself."""

from __future__ import annotations

import pytest

from inventory.shapes import Prism
from service.drawings.models.breps import compound
from service.drawings.models.curved_solids import of_prism
from tests.service.drawings.models.reading import solids, volume
from tests.service.drawings.models.solids import SOLIDS

pytest.importorskip("OCP", reason="the extra `exchange` is not installed")


@pytest.mark.parametrize(("solid", "enclosed"), SOLIDS.values(), ids=list(SOLIDS))
def test_a_prism_is_one_sound_solid_of_its_volume(solid: Prism, enclosed: float) -> None:
    from OCP.BRepCheck import BRepCheck_Analyzer

    (found,) = solids(compound((of_prism(solid),)))
    assert volume(found) == pytest.approx(enclosed, rel=1e-9)
    assert BRepCheck_Analyzer(found).IsValid()


def test_solids_are_as_many_as_prisms() -> None:
    prisms = tuple(solid for solid, _ in SOLIDS.values())
    assert len(list(solids(compound(map(of_prism, prisms))))) == len(prisms)
