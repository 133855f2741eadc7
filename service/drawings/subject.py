"""What is drawn: one alternative of a plan, the request and the stock it was made for, and what tells it from other plans."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal, get_args

from inventory.stock import StockSnapshot
from solver.plans import Alternative
from solver.request import Request
from solver.weldment import LengthUnit

Paper = Literal["a4", "letter"]
PAPERS: tuple[Paper, ...] = get_args(Paper)


@dataclass(frozen=True, slots=True)
class Identity:
    """What a sheet says of where it comes from.

    Parameters
    ----------
    plan : str
        The plan's address or id, as the QR code carries it.
    request : str
        The fingerprint of the request document.
    rules_version, stock_version : int
        As the plan names them.
    made_on : date, optional
        The day the plan was made; None where nobody says.
    rules_book : str
        The rule book's name.
    """

    plan: str = ""
    request: str = ""
    rules_version: int = 1
    stock_version: int = 0
    made_on: date | None = None
    rules_book: str = "default"


@dataclass(frozen=True, slots=True)
class Subject:
    """One alternative with all that is needed to draw it.

    Parameters
    ----------
    alternative : Alternative
        What is drawn.
    request, stock
        What it was made for, and the shelf it stands on: tables, items, bins.
    identity : Identity
        What tells this plan from others.
    currency : str
        Of the prices.
    paper : {"a4", "letter"}
        What is printed on.
    """

    alternative: Alternative
    request: Request
    stock: StockSnapshot
    identity: Identity = Identity()
    currency: str = ""
    paper: Paper = "a4"

    def shown_in(self, units: LengthUnit) -> Subject:
        """Return the same with its lengths shown in a unit, whichever the weldment was drawn in."""
        return replace(self, request=replace(self.request, weldment=replace(self.request.weldment, units=units)))
