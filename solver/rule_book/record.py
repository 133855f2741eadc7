"""What is known of a rule, in one record: its number, what is said when it stands in the way, and how findings show it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

PRACTICE = "common practice of the trade, no source"
SHOP = "the shop's own figure"
OWN_CHOICE = "-"
"""The source of a number that this program chose: no figure of the trade stands behind it."""
PLAN_MAKERS_FAULT = "a fault of the plan's maker: check the document was not changed by hand, else report it"
PLAN_AGAIN = "plan again; the document does not belong to this request and stock, or was changed"

Group = Literal[
    "what decided",
    "parts and clamps",
    "locators face to face",
    "locating error",
    "holding",
    "locators' reactions and deflections",
    "loading by hand",
    "ways",
    "lifting",
    "distances to welds",
    "the rest of the checks",
    "bodies, torch and ways",
    "shrinkage",
    "what is not computed",
]
"""Groups of a plan's findings, in the order they are read."""


@dataclass(frozen=True, slots=True)
class Value:
    """The number of a rule, which a shop or a request may change.

    Parameters
    ----------
    default : float
        What goes if nobody says otherwise, in `unit`.
    unit : str
        ``-`` for a bare number.
    low, high : float
        Legal range, both ends included.
    source : str
        Where the default comes from; `OWN_CHOICE` if there is nothing to look up.
    """

    default: float
    unit: str
    low: float
    high: float
    source: str = PRACTICE


@dataclass(frozen=True, slots=True)
class Hindrance:
    """What is said and done when a rule stands in the way of every plan.

    The sentences are templates. Their figures are the numbers of the rule book by dotted name (``{clamp.per_length:g}``),
    ``{subject}`` - the part, weld, item or table it is about -, and those of a part (``{part.margin:.3g}``), which
    `solver.explain.figures` computes. A sentence `by_itself` has the figures of what found it too.

    Parameters
    ----------
    place : int
        Where it stands in the list of reasons.
    remedy : str
        What to do about it.
    meaning : str
        What the reason means, where the rule's own meaning does not say it.
    sentence : str
        The reason where the rule cannot be met together with others; empty if the model never asks it.
    lying_round : str
        The same for a round part that lies, where that differs.
    in_the_way : str
        The end of the sentence where items are known to stand in the way: ``{items}``, and the verbs ``{stand}``, ``{have}``.
    by_itself : str
        The reason where the rule alone shuts out every fixture; empty if no screen finds that.
    suspects : tuple of str
        Rules to relax first; none: the rule itself.
    turn : int or None
        When its demands are dropped in the search for irreducible reasons, the least first; None if the model never asks it.
    beyond_stock : bool
        Whether no piece that could be bought changes it.
    """

    place: int
    remedy: str
    meaning: str = ""
    sentence: str = ""
    lying_round: str = ""
    in_the_way: str = ""
    by_itself: str = ""
    suspects: tuple[str, ...] = ()
    turn: int | None = None
    beyond_stock: bool = False


@dataclass(frozen=True, slots=True)
class RelaxationLimit:
    """How far a rule may be relaxed where nothing else helps.

    Parameters
    ----------
    most : float
        The most a careful shop would still allow, in the rule's unit (practice, no source).
    easier : {"less", "more"}
        Whether a smaller or a greater number asks for less.
    place : int
        When it is tried if no reason points at any rule, the least first.
    """

    most: float
    easier: Literal["less", "more"]
    place: int

    def allows(self, value: float) -> bool:
        """Return whether a value allows as much already."""
        return value <= self.most if self.easier == "less" else value >= self.most


@dataclass(frozen=True, slots=True)
class Display:
    """How the findings of a plan show a rule.

    Parameters
    ----------
    group : Group
        The group it is read in.
    place : int
        Where it stands in its group, the least first.
    words : str
        What was computed, where the text of the check does not say it.
    number : bool
        Whether it is shown with its number; if not, one finding says that it holds and how often it was checked.
    """

    group: Group
    place: int = 0
    words: str = ""
    number: bool = True


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: a demand on a plan, a limit, weight, rate or price, or a code that findings and reasons carry.

    Parameters
    ----------
    name : str
        Dotted name, the same in requests, plans, reasons and findings.
    meaning : str
        What it asks or says, in one line.
    value : Value or None
        Its number; None for what has none.
    hindrance : Hindrance or None
        None if it is never a reason of a refusal.
    relaxation : Relaxation or None
        None if it is not relaxed.
    if_broken : str
        What to do where the independent checker finds it broken; empty if the checker has no finding of this name.
    checked_as : tuple of str
        Names of the checker's findings that keep a rule which has none of its own.
    finding : Display or None
        None if the findings of a plan do not show it.
    """

    name: str
    meaning: str
    value: Value | None = None
    hindrance: Hindrance | None = None
    relaxation: RelaxationLimit | None = None
    if_broken: str = ""
    checked_as: tuple[str, ...] = ()
    finding: Display | None = None

    @property
    def group(self) -> str:
        """What stands before the dot: clear, torch, ..."""
        return self.name.split(".")[0]


@dataclass(frozen=True, slots=True)
class Topic:
    """Rules about one thing, under a title, and what they are about in a line."""

    title: str
    about: str
    rules: tuple[Rule, ...]
