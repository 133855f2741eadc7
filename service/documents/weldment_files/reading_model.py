"""The reading of a file, `holdwright.reading/1`: what every body in it became, what was noticed, and the weldment itself."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, ConfigDict, Field

from inventory.errors import Fault
from inventory.limits import unprintable
from service.documents.reading.fields import Document, Exactly, Id, Name, UpTo, Whole, checked
from service.documents.weldment import EXAMPLE as WELDMENT
from service.documents.weldment import WeldmentDocument
from service.documents.weldment_files.words import DrawnUnit, FileKind, Outcome

FORMAT = "holdwright.reading/1"
MOST_BODIES = 10_000
"""Bodies of one file, and remarks about it."""
MOST_REMARKS = 200
"""Remarks about one body."""
LONGEST_TEXT = 500
EXAMPLE: dict[str, Any] = {
    "format": FORMAT, "kind": "step", "dialect": "AP242", "drawn_in": "mm", "name": "hinge post",
    "bodies": [
        {"number": 1, "name": "post", "outcome": "part", "part": "post", "words": "square tube 60 x 60 x 4, 500 mm",
         "deviation": {"volume_mm3": 0.02, "volume_share": 0.0, "largest_mm": 0.0}, "remarks": [],
         "box": [[0, -30, 0], [500, 30, 60]]},
        {"number": 2, "name": "tab", "outcome": "part", "part": "tab", "words": "plate 80 x 50, 8 mm",
         "deviation": {"volume_mm3": 0.0, "volume_share": 0.0, "largest_mm": 0.0}, "remarks": [],
         "box": [[200, -25, 60], [280, 25, 68]]},
        {"number": 3, "name": "handle", "outcome": "not_recognised", "part": None, "words": "", "deviation": None,
         "remarks": [{"code": "solid.not_prism", "text": "its face 4 is neither flat nor a cylinder", "where": "solid 3, face 4",
                      "at": [250, 0, 90]}],
         "box": [[240, -10, 68], [260, 10, 110]]},
    ],
    "undecided": ["handle"], "remarks": [], "weldment": {**WELDMENT, "welds": [], "tolerances": []},
}  # fmt: skip


def _text(value: str) -> str:
    stray = unprintable(value)
    if stray is not None:
        checked([Fault("", f"has the character U+{ord(stray):04X}", "printable characters")])
    if len(value) > LONGEST_TEXT:
        checked([Fault("", f"{len(value):,} characters", f"at most {LONGEST_TEXT}")])
    return value


Text = Annotated[str, AfterValidator(_text), Field(json_schema_extra={"maxLength": LONGEST_TEXT})]
Place = Annotated[list[float], Exactly(3, "numbers")]


class RemarkDocument(Document):
    """Something noticed in a file."""

    code: Annotated[Text, Field(description="which remark it is, for programs, such as `solid.not_prism`")]
    text: Annotated[Text, Field(description="in words, with the numbers")]
    where: Annotated[Text, Field(description="what in the file; empty: the whole of it")] = ""
    at: Annotated[Place | None, Field(description="where, mm, in the file's own frame")] = None


class DeviationDocument(Document):
    """How far a recognised part is from what is drawn."""

    volume_mm3: Annotated[float, Field(description="the part's volume less the drawn one's, mm3")]
    volume_share: Annotated[float, Field(description="the same as a share of the drawn volume")]
    largest_mm: Annotated[float, Field(description="largest distance between the surfaces of the two, mm")]


class ReadBodyDocument(Document):
    """One body of a file - a solid, a closed outline, a row of a cut list - and what became of it."""

    number: Annotated[Whole, Field(description="from 1, in the order of the file", ge=1)]
    name: Annotated[Text, Field(description="as the file has it, with the assemblies it lies in; no two are alike")]
    outcome: Annotated[
        Outcome,
        Field(
            description="`part`: recognised; `body`: an outer body that takes up room only; `left_out`: by the user's word; "
            "`not_recognised`: the user has to say"
        ),
    ]
    part: Annotated[Id | None, Field(description="id of the weldment's part that came of it")] = None
    words: Annotated[Text, Field(description="what was recognised, with its sizes")] = ""
    deviation: Annotated[DeviationDocument | None, Field(description="of solids; null where nothing was measured")] = None
    remarks: Annotated[
        list[RemarkDocument],
        UpTo(MOST_REMARKS),
        Field(default_factory=list, description="why it is no part, or what else there is"),
    ]
    box: Annotated[
        Annotated[list[Place], Exactly(2, "points")] | None,
        Field(description="least and greatest x, y and z of the drawn body, mm; null where they are not known"),
    ] = None


class ReadingDocument(Document):
    """What was read of one file. All lengths are mm; `drawn_in` is what the file's own are in."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.reading/1"], Field(description=f'"{FORMAT}"')]
    kind: Annotated[FileKind, Field(description="what the file is")]
    dialect: Annotated[Text, Field(description="what it says it is written by; empty if its kind has no dialects")] = ""
    drawn_in: Annotated[DrawnUnit, Field(description="the unit of the lengths in the file")] = "mm"
    name: Annotated[Name, Field(description="of the weldment")] = ""
    bodies: Annotated[
        list[ReadBodyDocument], UpTo(MOST_BODIES), Field(default_factory=list, description="every body, in the file's order")
    ]
    undecided: Annotated[
        list[Text],
        UpTo(MOST_BODIES),
        Field(default_factory=list, description="names of the bodies of which the user has to say what becomes of them"),
    ]
    remarks: Annotated[
        list[RemarkDocument], UpTo(MOST_BODIES), Field(default_factory=list, description="about the file as a whole")
    ]
    weldment: Annotated[
        WeldmentDocument | None, Field(description="the parts as a weldment without welds; null if nothing is a part")
    ] = None
