"""The kinds of problems: for each its status and title, what it means, and what to do about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """A kind of problem: its stable name, HTTP status and title, and a sentence or two for whoever meets it.

    Parameters
    ----------
    meaning : str
        What has happened.
    remedy : str
        What to do.
    """

    name: str
    status: int
    title: str
    meaning: str
    remedy: str


KINDS: Mapping[str, ProblemKind] = {
    kind.name: kind
    for kind in (
        ProblemKind(
            "malformed", 400, "The body is not a JSON document",
            "The body is not UTF-8, is not JSON, or is nested beyond reading, so nothing in it could be looked at.",
            "Send one JSON document in UTF-8. `faults` says where reading stopped.",
        ),
        ProblemKind(
            "bad-header", 400, "A header cannot be read",
            "A header that steers the service, such as Idempotency-Key or If-Match, is not written as its standard asks.",
            "Write the header as `detail` says, or leave it out.",
        ),
        ProblemKind(
            "not-http", 400, "It is not a request as HTTP writes one",
            "What came over the connection is not written as HTTP/1.1 writes a request.",
            "Use a client that speaks HTTP/1.1, without TLS where the server has none.",
        ),
        ProblemKind(
            "no-key", 401, "A key is needed",
            "The address needs a key, and none came, or one that is not known, has expired or was revoked.",
            "Send `Authorization: Bearer KEY`, or sign in with a browser; whoever runs the server makes keys.",
        ),
        ProblemKind(
            "role", 403, "The key's role does not allow this",
            "The key is known, but its role may not do this.",
            "Use a key of one of the roles in `roles`, or ask somebody who has one.",
        ),
        ProblemKind(
            "cross-site", 403, "A page of another site asked for it",
            "A browser was asked by a page of another site to change something, which is refused whoever is signed in.",
            "Do it from the server's own pages, or from a program with a key.",
        ),
        ProblemKind(
            "not-found", 404, "There is no such thing here",
            "The address leads nowhere, or what it names is not in the store: a plan, an item, a table, a reservation, a rank.",
            "Look the id up in its list, such as /v1/plans or /v1/items; the addresses themselves are listed at /docs.",
        ),
        ProblemKind(
            "method", 405, "This address does not take that method",
            "The address exists, but nothing can be done there with this method.",
            "Use one of the methods that the answer's Allow header lists.",
        ),
        ProblemKind(
            "not-acceptable", 406, "It cannot be had in a form that is accepted",
            "A sheet was asked for in none of the formats there are.",
            "Name one of the media types in `faults` in Accept, or a format by its name in `?format=`.",
        ),
        ProblemKind(
            "slow-header", 408, "The header took too long to arrive",
            "The header of the request was not complete within the time a server waits for one.",
            "Ask again; a header is sent at a stroke.",
        ),
        ProblemKind(
            "slow-body", 408, "The body took too long to arrive",
            "The connection stayed open, but the body did not arrive within the time the server waits for one.",
            "Send the same request again, on a better connection.",
        ),
        ProblemKind(
            "conflict", 409, "The job is not in a state that allows this",
            "The job has no plan that could be planned again, asked about or drawn, or its hardware is gone from the stock.",
            "Wait until the job is done, or ask for a new plan of the same request.",
        ),
        ProblemKind(
            "short", 409, "Pieces are not free on those days",
            "At least one line cannot be promised on every day asked for; nothing was promised of the others either.",
            "Look at `short`: how many are free of each line, and from which day enough are. Choose other days or fewer pieces.",
        ),
        ProblemKind(
            "step", 409, "The reservation is not in a state that allows this",
            "A reservation takes its steps in order; this one cannot come next.",
            "Take one of the steps in `allowed`.",
        ),
        ProblemKind(
            "exists", 409, "There is one of that name already",
            "Something of this id is in the store already.",
            "Change what is there with PUT, or choose another id.",
        ),
        ProblemKind(
            "in-use", 409, "Others depend on it",
            "Counted pieces, reservations or plans name what was to be removed.",
            "Count it to zero and let those reservations end first.",
        ),
        ProblemKind(
            "count", 409, "The count cannot be true",
            "After the change there would be fewer than no pieces, or more out of service than there are.",
            "Look at the line's present count and send a change that leaves a count that can be.",
        ),
        ProblemKind(
            "webhook-off", 409, "The webhook is switched off",
            "No message is sent to a webhook that is switched off.",
            "Switch it on first.",
        ),
        ProblemKind(
            "changed", 412, "It was changed since it was read",
            "If-Match names no version that is there now: somebody else changed it, or the tag is weak, which never matches.",
            "Read it again, and send the change with the ETag of that answer.",
        ),
        ProblemKind(
            "too-large", 413, "The body is too large",
            "The body has more bytes than this server reads.",
            "Send a smaller one; `detail` says how large it may be.",
        ),
        ProblemKind(
            "media-type", 415, "The body is not declared as it must be",
            "Content-Type or Content-Encoding names something that is not read at this address.",
            "Send the media type that the answer's Accept header names, in UTF-8 and not compressed.",
        ),
        ProblemKind(
            "match-required", 428, "The change must say which version it is based on",
            "A change without If-Match could undo what somebody else has written meanwhile.",
            "Read it, and send its ETag in If-Match; `*` overwrites whatever there is.",
        ),
        ProblemKind(
            "host", 421, "This server does not answer for that host",
            "The Host header is not one of the names this server answers for, so that no foreign page can read the stock.",
            "Use the server's own name, or add this one to HOLDWRIGHT_HOSTS.",
        ),
        ProblemKind(
            "invalid", 422, "The document is not valid",
            "The document or a parameter was read, but says something that cannot be.",
            "Mend every entry of `faults`: each says where it is, what is wrong and what would be accepted.",
        ),
        ProblemKind(
            "key-reused", 422, "The Idempotency-Key was used for another body",
            "This key has stood for another request before, so this one was not looked at.",
            "Send a new key with a new request; send the same body to ask again.",
        ),
        ProblemKind(
            "too-many", 429, "One key or address asks for too much at a time",
            "There were more requests a minute, jobs at once or failed sign-ins than one key or address may have.",
            "Ask again after the seconds that Retry-After names.",
        ),
        ProblemKind(
            "large-header", 431, "The header is too large",
            "The header of the request has more bytes than the server takes.",
            "Send fewer or shorter headers; `detail` says how much is accepted.",
        ),
        ProblemKind(
            "internal", 500, "The server made a mistake",
            "Something happened that must not happen. It is a mistake in the server, not in the request.",
            "Tell whoever runs the server the `instance` of the problem: its log has the details under it.",
        ),
        ProblemKind(
            "busy", 503, "The server has no room for this now",
            "As many jobs, questions, drawings, streams or writers are at work as may be.",
            "Ask again after the seconds that Retry-After names.",
        ),
        ProblemKind(
            "store", 503, "The store cannot be used",
            "The database does not answer, cannot be written or is full. Nothing of the request was kept.",
            "Ask again later; whoever runs the server finds the cause in its log and at /readyz.",
        ),
        ProblemKind(
            "stopping", 503, "The server is being stopped",
            "The server was told to stop and takes nothing new; jobs that were taken in are kept.",
            "Ask again after the seconds of `Retry-After`: the next server answers, or another one.",
        ),
        ProblemKind(
            "worker-died", 500, "The solving process ended without an answer",
            "The process that worked on this was ended from outside, for instance because memory ran out.",
            "Ask once more. If it happens again, ask for less at once or give the machine more memory.",
        ),
        ProblemKind(
            "interrupted", 500, "The server ended while the job was running, too often to try again",
            "Each time the job was taken up, its server ended before it was done.",
            "Ask for the plan again once the server runs steadily.",
        ),
    )
}  # fmt: skip
