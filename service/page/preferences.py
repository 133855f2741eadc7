"""What one browser likes: light or dark, millimetres or inches, the name that signs; kept in a cookie of its own."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Literal, get_args
from urllib.parse import parse_qsl, urlencode

from starlette.requests import Request
from starlette.responses import Response

from inventory.limits import NAME_LENGTH, unprintable

COOKIE = "holdwright_likes"
Theme = Literal["auto", "light", "dark"]
Units = Literal["drawn", "mm", "inch"]
THEMES: tuple[Theme, ...] = get_args(Theme)
UNITS: tuple[Units, ...] = get_args(Units)
_YEAR_S = 365 * 24 * 3600


@dataclass(frozen=True, slots=True)
class Preferences:
    """How one browser is shown pages.

    Parameters
    ----------
    theme : str
        ``auto``: as the browser prefers.
    units : str
        ``drawn``: as each weldment was drawn.
    name : str
        Who signs for changes where no API key does; at most 200 characters.
    """

    theme: Theme = "auto"
    units: Units = "drawn"
    name: str = ""

    @classmethod
    def of(cls, request: Request) -> Preferences:
        """Return what a request's cookie says; what cannot be read is as it is by default."""
        try:
            given = dict(parse_qsl(request.cookies.get(COOKIE, "")[:2000], max_num_fields=10))
        except ValueError:
            given = {}
        name = given.get("name", "")
        return cls(
            next((one for one in THEMES if one == given.get("theme")), "auto"),
            next((one for one in UNITS if one == given.get("units")), "drawn"),
            "" if len(name) > NAME_LENGTH or unprintable(name) is not None else name,
        )

    def keep(self, response: Response, *, secure: bool) -> None:
        """Have the browser remember it for a year."""
        response.set_cookie(
            COOKIE, urlencode(asdict(self)), max_age=_YEAR_S, path="/", httponly=True, samesite="strict", secure=secure
        )
