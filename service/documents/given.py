"""What an item may state beside its figures: a beam that bends, pegs that have play. Both are worked into its stiffness and its
repeatability once, as the document is read, as inches are into millimetres."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, PrivateAttr
from pydantic import model_validator as validator

from service.documents.reading.fields import Document, Size, domain
from service.documents.sections import SectionDocument
from solver.standards.iso286 import clearance
from solver.standards.materials import MATERIALS
from solver.standards.stiffness import Segment, bending_n_per_mm
from solver.weldment import Material


class BeamDocument(Document):
    """A straight piece, fixed at its foot and loaded across its tip: a riser's column, an arm."""

    section: Annotated[SectionDocument, Field(description="its profile; it bends about the weaker axis")]
    length: Annotated[Size, Field(description="from foot to tip")]
    material: Annotated[Material, Field(description="steel, stainless or aluminium")] = "steel"

    @property
    def stiffness_n_per_mm(self) -> float:
        """Force across the tip per mm of its deflection, 3 E I / L^3, N/mm."""
        bending = self.section.to_domain().properties
        return bending_n_per_mm([Segment(self.length, min(bending.i_uu, bending.i_vv), MATERIALS[self.material].young_mpa.value)])


class PegFitDocument(Document):
    """How a piece's pegs fit the table's holes."""

    diameter: Annotated[Size, Field(description="nominal diameter of peg and hole, over 10 up to 30 mm")]
    fit: Annotated[str, Field(description="hole and shaft by ISO 286: H7/g6, H7/h6 or H7/f7", max_length=8)] = "H7/g6"

    _play: float = PrivateAttr()

    @validator(mode="after")
    def _self_consistent(self) -> PegFitDocument:
        self._play = domain(lambda: clearance(self.diameter, self.fit).play_mm)
        return self

    @property
    def play_mm(self) -> float:
        """How far the piece may stand off its place either way: half the largest clearance, mm."""
        return self._play
