"""How long does the server wait for whoever connects, and how many of them? Below every request.

A connection that never finishes its header costs a place and nothing else, so anyone could take
them all. Here a header has a size and a time, and a whole request has a time; and where one
address, or all together, hold too many connections, those that ask nothing are closed, the oldest
first: whoever comes to ask something finds a place.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from typing import Any

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

MOST_HEADER = 32 * 1024
HEADER_SECONDS = 10.0
REQUEST_SECONDS = 300.0
"""For a whole request with its body: 20 MB at 70 kB a second."""
MOST_OF_ONE = 64
"""Connections of one address. A browser holds six (common practice, no source)."""
MOST_OF_ALL = 400
"""Under the number at which the server answers nobody any more (`run.MOST_CONNECTIONS`)."""


class Patient(HttpToolsProtocol):
    """One connection, with an end to the server's patience."""

    most_of_one = MOST_OF_ONE
    _head_bytes = 0
    _head_done = False
    _waits: asyncio.TimerHandle | None = None
    _address = ""
    _since = 0.0

    def connection_made(self, transport: Any) -> None:
        """Make room where there are too many, then wait for a header."""
        super().connection_made(transport)
        self._address = self.client[0] if self.client else ""
        self._since = self.loop.time()
        self._make_room()
        self._wait(HEADER_SECONDS)

    def connection_lost(self, exc: Exception | None) -> None:
        """Nothing is waited for any more."""
        self._wait(None)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Take what came, unless it is a header without an end."""
        if not self._head_done:
            self._head_bytes += len(data)
        super().data_received(data)
        if not self._head_done and self._head_bytes > MOST_HEADER:
            self.transport.abort()

    def on_message_begin(self) -> None:
        """A header begins: of a further request on this connection, too."""
        super().on_message_begin()
        self._head_done, self._head_bytes = False, 0
        self._wait(HEADER_SECONDS)

    def on_headers_complete(self) -> None:
        """The header is there: what is left is the body."""
        self._head_done = True
        self._wait(REQUEST_SECONDS)
        super().on_headers_complete()

    def on_message_complete(self) -> None:
        """All of the request is there; its answer may take as long as it takes."""
        self._wait(None)
        super().on_message_complete()

    @property
    def asks(self) -> bool:
        """Whether a request of this connection is being answered."""
        return self.cycle is not None and not self.cycle.response_complete

    def _wait(self, seconds: float | None) -> None:
        if self._waits is not None:
            self._waits.cancel()
        self._waits = self.loop.call_later(seconds, self._give_up) if seconds else None

    def _give_up(self) -> None:
        self._waits = None
        if not self.transport.is_closing():
            self.transport.abort()

    def _make_room(self) -> None:
        """Close idle connections where there are too many; this one where none is idle."""
        every = _open(self.connections)
        own = [one for one in every if one._address == self._address]
        for held, most in ((own, self.most_of_one), (every, MOST_OF_ALL)):
            if len(held) <= most:
                continue
            idle = [one for one in held if one is not self and not one.asks]
            min(idle, key=lambda one: one._since, default=self).transport.abort()
            return


class Handed(Patient):
    """One connection of another web server, which brings everybody's requests from one address."""

    most_of_one = MOST_OF_ALL


def _open(connections: Iterable[Any]) -> list[Patient]:
    return [
        one for one in connections if isinstance(one, Patient) and not one.transport.is_closing()
    ]
