"""How is the app set up? What `truehang serve` decides once, before the first request."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from pathlib import Path

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """`url` is the address that phones use, as the server was started; empty where it is the
    one that a request came by. `hosts` are the names the server answers to (Host header,
    without a port), `trust` the page where a phone comes to trust the server, empty where it
    needn't. `zone` is the time zone the firm works in ("Europe/London"), empty for this machine's.
    `made` is the folder of packs that were made but not issued. `pairing` False lets
    anyone in who can reach the port: for tests on loopback only. `https` says that browsers
    come by HTTPS only. `secret` signs form tokens where there is no session. The rates are
    requests a minute: of one paired device, of one address that is not paired, and of tries to
    pair from one address.
    """

    made: Path
    url: str = ""
    hosts: frozenset[str] = LOOPBACK
    pairing: bool = True
    https: bool = False
    trust: str = ""
    zone: str = ""
    secret: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    device_rate: int = 3000
    stranger_rate: int = 120
    pair_rate: int = 10

    @property
    def cookie(self) -> str:
        """The name of the cookie with a device's secret; browsers keep a __Host- cookie to this
        very host and to HTTPS. Plain HTTP is for loopback, where nothing can listen in."""
        return "__Host-truehang" if self.https else "truehang"
