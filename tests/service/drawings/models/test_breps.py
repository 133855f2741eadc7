"""Exact solids enclose just what the prism does, and are sound to the library itself."""

from __future__ import annotations

import pytest

from inventory.shapes import Prism
from service.drawings.models.breps import compound
from tests.service.drawings.models.reading import solids
from tests.service.drawings.models.solids import SOLIDS

pytest.importorskip("OCP", reason="the extra `exchange` is not installed")


@pytest.mark.parametrize(("solid", "volume"), SOLIDS.values(), ids=list(SOLIDS))
def test_a_prism_is_one_sound_solid_of_its_volume(solid: Prism, volume: float) -> None:
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    (found,) = solids(compound((solid,)))
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(found, properties)
    assert properties.Mass() == pytest.approx(volume, rel=1e-9)
    assert BRepCheck_Analyzer(found).IsValid()


def test_solids_are_as_many_as_prisms() -> None:
    prisms = tuple(solid for solid, _ in SOLIDS.values())
    assert len(list(solids(compound(prisms)))) == len(prisms)
