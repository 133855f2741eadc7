"""Where messages go: a URL that may be a webhook's, and the addresses its host has at this moment."""

from __future__ import annotations

import queue
import socket
import threading
from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlsplit

from inventory.errors import Fault, InvalidDocument
from service.webhooks.addresses import IpAddress, as_address, refusal_of

LOOK_UP_S = 5.0
_LOOKUPS_AT_ONCE = 16
_PORTS = {"https": 443, "http": 80}
_running = threading.BoundedSemaphore(_LOOKUPS_AT_ONCE)
LookUp = Callable[[str, int], list[str]]


@dataclass(frozen=True, slots=True)
class Destination:
    """A webhook's URL with the addresses that were checked; a connection goes to one of these and to no other.

    Parameters
    ----------
    host : str
        As the URL names it, for the Host header and for the receiver's certificate.
    """

    url: str
    host: str
    addresses: tuple[IpAddress, ...]


def look_up(host: str, port: int) -> list[str]:
    """Return the addresses of a host; raises OSError if it has none, or the name service does not say within 5 s.

    The system's look-up cannot be interrupted, so it runs in a thread that nobody waits for longer than that.
    """
    if not _running.acquire(blocking=False):
        raise OSError("too many names are being looked up")
    found: queue.Queue[list[str] | Exception] = queue.Queue()

    def work() -> None:
        answer: list[str] | Exception
        try:
            answer = [str(entry[4][0]) for entry in socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)]
        except (OSError, UnicodeError) as error:
            answer = error
        _running.release()
        found.put(answer)

    threading.Thread(target=work, name="holdwright-look-up", daemon=True).start()
    try:
        answer = found.get(timeout=LOOK_UP_S)
    except queue.Empty:
        raise OSError(f"no answer within {LOOK_UP_S:g} s") from None
    if isinstance(answer, Exception):
        raise OSError(getattr(answer, "strerror", None) or str(answer))
    return answer


def destination(url: str, private_allowed: bool, names: LookUp = look_up) -> Destination:
    """Return where a webhook's messages go just now.

    Parameters
    ----------
    url : str
        ``http`` or ``https`` with a host, as documents are read.
    private_allowed : bool
        Whether plain http and addresses of the shop's own network will do.
    names : callable
        Looks a host's addresses up; raises OSError.

    Raises
    ------
    InvalidDocument
        At ``/url``: plain http, no address, or one that is not public. One bad address among several is enough.
    """
    parts = urlsplit(url)
    host = parts.hostname or ""
    if parts.scheme != "https" and not private_allowed:
        raise _refused(f"{parts.scheme} can be read by others on the way", "https")
    try:
        found = [as_address(text) for text in dict.fromkeys(names(host, parts.port or _PORTS[parts.scheme]))]
    except OSError as error:
        raise _refused(f"{host} cannot be looked up: {error}", "a host that has an address") from None
    if not found:
        raise _refused(f"{host} has no address", "a host that has an address")
    if not private_allowed:
        for address in found:
            if (word := refusal_of(address)) is not None:
                raise _refused(f"{host} leads to {address}, which is {word}", "a host whose addresses are all public")
    return Destination(url, host, tuple(found))


def _refused(wrong: str, accepted: str) -> InvalidDocument:
    return InvalidDocument([Fault("/url", wrong, accepted)])
