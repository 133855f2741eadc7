"""What rule books are made, changed and put in use with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field, PrivateAttr
from pydantic import model_validator as validator

from inventory import limits
from inventory.limits import NAME_LENGTH
from service.documents.reading.fields import Id, Units, UpTo, Whole, Within, domain
from service.documents.rule_books.known_books import BookKind
from service.documents.rules import VERSIONS, in_mm, judged
from service.documents.stockroom.body import SignedBody

Number = Annotated[Whole, Within(VERSIONS)]
RuleName = Annotated[str, Field(max_length=NAME_LENGTH)]


class BookChangeBody(SignedBody):
    """What a version of a rule book changes; `why` may not be empty.

    `units: inch` converts the rules whose unit is mm; no other rule is converted.
    """

    units: Annotated[Units, Field(description="unit of the rules that are lengths: mm or inch")] = "mm"
    set: Annotated[
        dict[str, float],
        UpTo(limits.ITEMS),
        Field(default_factory=dict, description="rules and new values, by dotted name"),
    ]
    base: Annotated[Id | None, Field(description='the book it starts from, "default": the built-in numbers')] = None
    base_version: Annotated[Number | None, Field(description="version of the base; absent: its newest if it is named")] = None

    _changes: dict[str, float] = PrivateAttr()

    @validator(mode="after")
    def _self_consistent(self) -> BookChangeBody:
        self._changes = in_mm(self.set, self.units)
        domain(lambda: judged(self._changes))
        return self

    @property
    def changes(self) -> Mapping[str, float]:
        """The rules that are set, lengths in mm."""
        return self._changes


class NewBookBody(BookChangeBody):
    """A rule book to be made, with its first version.

    Where no base is named, a shop's starts from the built-in numbers, a customer's from the book in use.
    """

    name: Annotated[Id, Field(description="what requests name it by")]
    kind: Annotated[BookKind, Field(description="whose numbers they are")] = "shop"


class BookVersionBody(BookChangeBody):
    """The next version of a rule book: what it changes of the one before; the base stays as it was unless one is named."""

    unset: Annotated[
        list[RuleName], UpTo(limits.ITEMS), Field(default_factory=list, description="rules that are as in the base again")
    ]
    follow: Annotated[bool, Field(description="whether books that start from it get a version that starts from this one")] = False


class UseBody(SignedBody):
    """Which rule book counts from now on where a request names none; `why` may not be empty."""

    book: Annotated[Id, Field(description='a book of the shop, or "default": the built-in numbers')]
    version: Annotated[Number | None, Field(description="a version that counts whatever comes later; absent: the newest")] = None
