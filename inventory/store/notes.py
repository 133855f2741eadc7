"""Who did something, when and why: every write carries one of these."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from inventory.errors import Fault, refuse
from inventory.limits import moment_faults, name_faults, unprintable

LONGEST_WHY = 1000


@dataclass(frozen=True, slots=True)
class Note:
    """The signature under a change.

    Parameters
    ----------
    who : str
        Person or system, 1..200 characters.
    at : datetime
        With a time zone; the store has no clock of its own.
    why : str
        The reason in the shop's own words, up to 1,000 characters.
    key : str or None
        Name of the API key the change came by, None without one.
    """

    who: str
    at: datetime
    why: str = ""
    key: str | None = None

    def __post_init__(self) -> None:
        """Refuse an unsigned, undated or endless note."""
        faults = [*name_faults("/who", self.who)]
        if not self.who.strip():
            faults.append(Fault("/who", "nobody signs", "1 to 200 characters"))
        if len(self.why) > LONGEST_WHY:
            faults.append(Fault("/why", f"{len(self.why)} characters", f"at most {LONGEST_WHY}"))
        elif (character := unprintable(self.why)) is not None:
            faults.append(Fault("/why", f"holds the control character U+{ord(character):04X}", "no control characters"))
        faults.extend(moment_faults("/at", self.at))
        refuse(faults)
