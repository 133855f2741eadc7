"""One message posted: to an address that was checked, within one limit for all of it, whatever the receiver does."""

from __future__ import annotations

import asyncio
import logging
import ssl
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

import httpx

from inventory.errors import InvalidDocument
from service.release import release
from service.text import printable
from service.webhooks.destinations import Destination, LookUp, destination, look_up

for _chatty in ("httpx", "httpcore"):  # their lines have whole addresses, in which receivers may have put a token
    logging.getLogger(_chatty).setLevel(logging.WARNING)
_READ_BYTES = 1000
_ADDRESSES_TRIED = 3


@dataclass(frozen=True, slots=True)
class PostResult:
    """What came of posting a message.

    Parameters
    ----------
    status : int or None
        What the receiver answered, None if it did not.
    error : str
        What was wrong; empty if it arrived.
    retry_after_s : float
        How long the receiver asks to wait, s; 0 if it does not.
    """

    status: int | None
    error: str = ""
    retry_after_s: float = 0.0

    @property
    def arrived(self) -> bool:
        """Whether the receiver took it: any status from 200 to 299."""
        return self.status is not None and 200 <= self.status <= 299


@dataclass(frozen=True, slots=True)
class MessagePost:
    """Posts messages.

    Parameters
    ----------
    timeout_s : float
        How long connecting, sending and the answer may take together, s.
    private_allowed : bool
        Whether plain http and addresses of the shop's own network will do.
    trusted : SSLContext
        Whose certificates are believed: those the system's SSL_CERT_FILE names, else those that come with httpx.
    """

    timeout_s: float
    private_allowed: bool
    names: LookUp = look_up
    trusted: ssl.SSLContext = field(default_factory=httpx.create_ssl_context)

    def __call__(self, url: str, headers: Mapping[str, str], body: bytes) -> PostResult:
        """Post one message; whatever goes wrong is in the result."""
        try:
            where = destination(url, self.private_allowed, self.names)
        except InvalidDocument as refused:
            return PostResult(None, refused.faults[0].wrong)
        try:
            return asyncio.run(self._within_its_time(where, headers, body))
        except TimeoutError:
            return PostResult(None, f"no answer within {self.timeout_s:g} s")
        except (httpx.HTTPError, OSError) as error:
            return PostResult(None, printable(f"{type(error).__name__}: {error}"))

    async def _within_its_time(self, where: Destination, headers: Mapping[str, str], body: bytes) -> PostResult:
        async with asyncio.timeout(self.timeout_s):
            *others, last = where.addresses[:_ADDRESSES_TRIED]
            for address in others:
                try:
                    return await self._post(where, str(address), headers, body)
                except (httpx.ConnectError, httpx.ConnectTimeout):  # such as an IPv6 address where only IPv4 leads outside
                    continue
            return await self._post(where, str(last), headers, body)

    async def _post(self, where: Destination, address: str, headers: Mapping[str, str], body: bytes) -> PostResult:
        """Post to one address: the URL names it, so nothing is looked up again; the host is named beside it."""
        url = httpx.URL(where.url)
        about = {"Host": url.netloc.decode("ascii"), "Content-Type": "application/json", "Accept-Encoding": "identity"}
        about |= {"User-Agent": f"holdwright/{release()}", **headers}
        # No proxy and no password file of the environment: they would lead elsewhere than was checked.
        timeout = httpx.Timeout(self.timeout_s, connect=self.timeout_s / _ADDRESSES_TRIED)
        client = httpx.AsyncClient(verify=self.trusted, trust_env=False, follow_redirects=False, timeout=timeout)
        async with (
            client,
            client.stream(
                "POST", url.copy_with(host=address), content=body, headers=about, extensions={"sni_hostname": where.host}
            ) as answer,
        ):
            status = answer.status_code
            if 200 <= status <= 299:
                return PostResult(status)
            said = (await _beginning(answer)).decode("utf-8", "replace")
            words = printable(" ".join(said.split()))
            error = f"answered {status}" + (f": {words}" if words else "")
            return PostResult(status, error, retry_after_s(answer.headers.get("retry-after", ""), datetime.now(UTC)))


async def _beginning(answer: httpx.Response) -> bytes:
    read = b""
    async for chunk in answer.aiter_raw():
        read += chunk
        if len(read) >= _READ_BYTES:
            break
    return read[:_READ_BYTES]


def retry_after_s(header: str, now: datetime) -> float:
    """Return the seconds a ``Retry-After`` asks for (RFC 9110, 10.2.3: seconds, or a date); 0 if it cannot be read."""
    text = header.strip()
    if text.isascii() and text.isdecimal():
        return float(text[:9])
    try:
        at = parsedate_to_datetime(text)
    except ValueError:
        return 0.0
    return max(0.0, (at.replace(tzinfo=at.tzinfo or UTC) - now).total_seconds())
