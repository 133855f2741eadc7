"""What came of a CAD file of a piece of hardware and its marks: `holdwright.item-reading/1`, only ever sent back."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from service.documents.answers.answer import Answer, Kept
from service.documents.items import ItemDocument

FORMAT = "holdwright.item-reading/1"


class ItemSolidDocument(Answer):
    """A solid of the file that became one of the item's."""

    number: Annotated[int, Field(description="from 1, in the order of the item's solids")]
    name: Annotated[str, Field(description="as the file has it, with the assemblies it lies in")]
    words: Annotated[str, Field(description="what it was recognised as, with its sizes")]


class ItemFindingDocument(Answer):
    """Something that was looked at."""

    code: Annotated[str, Field(description="what was looked at, for programs, such as `pad.on_face`")]
    subject: Annotated[str, Field(description="of what, such as `pad 1`")]
    verdict: Annotated[
        Literal["good", "told", "wrong"],
        Field(description="as it must be; odd, but may be meant; wrong, so that the item is useless as it is"),
    ]
    text: Annotated[str, Field(description="in words, with the numbers")]
    value: Annotated[float | None, Field(description="the number that was looked at")]
    limit: Annotated[float | None, Field(description="what it is held against")]


class ItemReadingDocument(Answer):
    """An item made of a file and its marks, with what was found of it."""

    format: Annotated[Literal["holdwright.item-reading/1"], Field(description=f'"{FORMAT}"')]
    sound: Annotated[bool, Field(description="whether nothing of it is wrong")]
    item: Annotated[dict[str, Any], Kept(ItemDocument), Field(description="the item, to be added to the catalogue")]
    solids: list[ItemSolidDocument]
    findings: Annotated[
        list[ItemFindingDocument], Field(description="wrong ones first, then those that are only told, then the good")
    ]
