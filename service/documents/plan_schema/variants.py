"""A variant of the weldment on the same set-up, on the wire: a plan of its own but for the price."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from service.documents.plan_schema.fixture import (
    Building,
    Lenient,
    LoadDocument,
    Number,
    PartContactDocument,
    PlacementDocument,
    PlannedPartDocument,
    Rows,
    UnloadDocument,
    WeldSamplesDocument,
)
from service.documents.plan_schema.lying import FindingDocument, PlannedLieDocument
from service.documents.prisms import matrix
from service.documents.reading.fields import Whole
from solver.plans import Station, VariantPlan


class VariantPlanDocument(Lenient):
    """One variant: what its pieces are set to, and everything that makes it a plan of its own."""

    name: Annotated[str, Field(description="the variant's name")]
    quantity: Annotated[Whole, Field(description="how many of it")]
    mirror: Annotated[Literal["x", "y"] | None, Field(description="axis it is mirrored along; null for another size")] = None
    shared: Annotated[Whole | None, Field(description="of a mirror image: pieces that stay where and as they stand")] = None
    settings: Annotated[dict[str, Number], Field(description="what every piece with a setting is set to, mm, by its id")]
    reset_s: Annotated[Whole, Field(description="seconds to go on with it after the weldment before: settings, and checking")]
    cycle_s: Annotated[Whole, Field(description="seconds a weldment, arc time not included")]
    lie: Annotated[PlannedLieDocument, Field(description="how it lies")]
    weldment_to_table: Annotated[Rows, Field(description="its own frame to table frame")]
    parts: Annotated[list[PlannedPartDocument], Field(description="its parts in their places")]
    placements: Annotated[list[PlacementDocument], Field(description="the pieces as they are set for it")]
    part_contacts: Annotated[list[PartContactDocument], Field(description="where its parts touch parts")]
    welds: Annotated[list[WeldSamplesDocument], Field(description="torch directions along its welds")]
    load: Annotated[list[LoadDocument], Field(description="its parts' ways in, in order")]
    unload: Annotated[UnloadDocument, Field(description="its way out")]
    findings: Annotated[list[FindingDocument], Field(default_factory=list, description="what was checked of it")]

    def to_domain(self) -> VariantPlan:
        """Return the variant as a value; raises InvalidDocument with every unsound solid."""
        making = Building()
        return making.whole(
            VariantPlan(
                name=self.name, quantity=self.quantity, settings=dict(self.settings), reset_s=self.reset_s, cycle_s=self.cycle_s,
                station=Station(None, self.lie.down, self.lie.turn, matrix(self.weldment_to_table), self.unload.to_domain()),
                parts=making.each("/parts", self.parts, PlannedPartDocument.to_domain),
                placements=making.each("/placements", self.placements, PlacementDocument.to_domain),
                part_contacts=tuple(contact.to_domain() for contact in self.part_contacts),
                welds=tuple(weld.to_domain() for weld in self.welds), load=tuple(step.to_domain() for step in self.load),
                findings=tuple(finding.to_domain() for finding in self.findings), mirror=self.mirror, shared=self.shared,
            )
        )  # fmt: skip
