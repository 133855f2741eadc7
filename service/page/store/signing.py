"""Changes of the store that forms ask for: signed, and what refuses them told where it was asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from starlette.requests import Request
from starlette.responses import Response

from inventory.availability import Shortage, ShortLine
from inventory.errors import Fault, HoldwrightError, InvalidDocument
from inventory.reservations import IllegalStep
from inventory.store import Note
from inventory.store.errors import CountRefused, KeyReused, Stale
from inventory.store.notes import LONGEST_WHY
from service.http.dependencies import caller_of, planning_of
from service.http.routes.access.sign_in import secure_only
from service.http.writes import Write
from service.page.forms import Form
from service.page.frame import lead_to
from service.page.preferences import Preferences
from service.page.writes import at_fields, signature

REFUSED = (InvalidDocument, Stale, Shortage, IllegalStep, CountRefused, KeyReused)
"""What refuses a change for a reason that whoever asked can do something about; the screen it was asked on says it."""

_CHANGED = (
    "Somebody else changed it meanwhile, so nothing was written. Look at what is there now, and send it again if it still holds."
)
_SENT_BEFORE = (
    "This form was sent and done before, with other values. Look at what is there now, and send again what is still wanted."
)


@dataclass(frozen=True, slots=True)
class StoreRefusal:
    """Why a change was not made, beside the faults at the form's fields.

    Parameters
    ----------
    status : int
        Of the answer.
    text : str
        In words; empty where the faults say it all.
    short : tuple of ShortLine
        Lines of which too few pieces are free.
    """

    status: int
    text: str = ""
    short: tuple[ShortLine, ...] = ()


def signed(request: Request, form: Form, write: Write) -> Note:
    """Return the signature under a change; raises InvalidDocument with it and every fault of the form found before."""
    who = signature(request, form)
    why = form.text("why", "the reason", longest=LONGEST_WHY)
    form.finish()
    return Note(who, write.at, why, write.signs)


def refused(form: Form, error: HoldwrightError, names: Mapping[str, str] | None = None) -> StoreRefusal:
    """Return what refused a change; faults go to the form, at its fields.

    Parameters
    ----------
    names : dict
        From the beginning of a pointer in the document to the field that it came from.
    """
    match error:
        case InvalidDocument():
            form.faults[:] = at_fields(error, dict(names or {}))
            return StoreRefusal(422)
        case Shortage():
            return StoreRefusal(409, "Nothing was promised: too few pieces are free on those days.", error.lines)
        case Stale():
            return StoreRefusal(412, _CHANGED)
        case KeyReused():
            return StoreRefusal(409, _SENT_BEFORE)
        case CountRefused():
            form.faults.append(Fault("/pieces" if "pieces" in form else "/count", str(error), "a count that can be true"))
            return StoreRefusal(409)
    return StoreRefusal(409, str(error).replace("_", " "))


def done(request: Request, form: Form, address: str) -> Response:
    """Lead on after a change was made; whoever signed by name need not write it again in this browser."""
    response = lead_to(request, address)
    likes, name = Preferences.of(request), form.raw("who").strip()
    if name and name != likes.name and caller_of(request).signs_as is None:
        replace(likes, name=name).keep(response, secure=secure_only(request, planning_of(request).settings.https))
    return response
