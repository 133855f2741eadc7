"""The socket a server listens on."""

from __future__ import annotations

import socket

from service.settings import Settings

WAITING = 1024
"""Connections the operating system keeps until they are taken in."""


def listening(settings: Settings) -> socket.socket:
    """Return a socket that listens where the settings say; raises OSError."""
    family, _, _, _, address = socket.getaddrinfo(settings.host, settings.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)[
        0
    ]
    # Named as TCP, or the event loop does not switch off the delay of small packets: 40 ms an answer.
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
        listener.listen(WAITING)
    except OSError:
        listener.close()
        raise
    return listener
