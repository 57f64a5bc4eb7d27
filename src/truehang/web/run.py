"""How is the app started? Sockets, the names it answers to, the link that pairs, the workers."""

from __future__ import annotations

import gc
import json
import os
import socket
import ssl
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import segno
import uvicorn
from fastapi import FastAPI
from platformdirs import user_data_path

from truehang.catalogue import load
from truehang.store import Store, new_code
from truehang.web.app import create_app
from truehang.web.patience import Patient
from truehang.web.planning import PlanningProcess
from truehang.web.settings import LOOPBACK, Settings

_FOR_WORKERS = "TRUEHANG_SERVE"
MOST_CONNECTIONS = 500


class CannotServe(RuntimeError):
    """The server can't be started as asked; the message says why and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where everything is kept: the database and the folder of files beside it."""

    database: str
    files: Path

    @classmethod
    def of(cls, database: str | None, files: Path | None) -> Place:
        """The place that was named; what was not named lies in the user's own data folder."""
        home = user_data_path("truehang", appauthor=False)
        if database is None:
            home.mkdir(parents=True, exist_ok=True)
            database = f"sqlite:///{home / 'jobs.db'}"
        return cls(database=database, files=files or home / "files")

    def open(self) -> Store:
        """The store. Raises DatabaseError."""
        return Store.open(self.database, self.files)


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """Where the server listens, what it is called, and the certificate it shows."""

    host: str = "127.0.0.1"
    port: int = 8340
    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None

    @property
    def loopback(self) -> bool:
        """Whether only this machine can reach it."""
        return self.host in LOOPBACK or self.host == "::1"

    @property
    def hosts(self) -> frozenset[str]:
        """Every name it answers to."""
        own = () if self.loopback else (own_address(), socket.gethostname().lower())
        return LOOPBACK | {name.lower() for name in (*self.names, *own)}

    @property
    def url(self) -> str:
        """What to type into a browser that may reach it."""
        scheme = "https" if self.certificate else "http"
        if self.names:
            name = self.names[0]
        else:
            name = "127.0.0.1" if self.loopback else own_address()
        return f"{scheme}://{name}:{self.port}"


def own_address() -> str:
    """This machine's address on its network. Nothing is sent to find it out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address that is nobody's
        except OSError:
            return "127.0.0.1"
        name: str = probe.getsockname()[0]
        return name


def pairing_link(store: Store, address: Address) -> str:
    """A link with a fresh one-time code."""
    return f"{address.url}/pair?code={new_code(store)}"


def show(link: str, out: Any) -> None:
    """Print a link, and its QR code for a phone's camera."""
    out.write(f"{link}\n")
    segno.make(link, error="l").terminal(out, compact=True)
    out.flush()


def settings_of(place: Place, address: Address, pairing: bool) -> Settings:
    """The app's settings for this place and address. Raises CannotServe where that isn't safe."""
    if not pairing and not address.loopback:
        raise CannotServe("--no-pairing is for loopback only; leave out --lan and --host")
    return Settings(
        made=place.files.parent / "made",
        url=address.url,
        hosts=address.hosts,
        pairing=pairing,
        https=address.certificate is not None,
    )


def serve(place: Place, address: Address, settings: Settings, workers: int) -> None:
    """Serve until stopped. Raises CannotServe where the port or the certificate can't be used."""
    _check(address)
    # With several workers each makes its own app, from what is left for it in the environment.
    os.environ[_FOR_WORKERS] = json.dumps(
        {
            "database": place.database,
            "files": str(place.files),
            "settings": asdict(settings)
            | {"made": str(settings.made), "hosts": sorted(settings.hosts)},
        }
    )
    uvicorn.run(
        "truehang.web.run:worker",
        factory=True,
        host=address.host,
        port=address.port,
        workers=workers,
        log_level="warning",
        access_log=False,  # links carry codes, and paths carry customers' names
        server_header=False,
        proxy_headers=False,
        ssl_certfile=address.certificate,
        ssl_keyfile=address.key,
        timeout_graceful_shutdown=3,
        limit_concurrency=MOST_CONNECTIONS,
        http=Patient,
    )


def _check(address: Address) -> None:
    """What would fail in the midst of starting is better said before."""
    if address.certificate is not None:
        try:
            ssl.create_default_context().load_cert_chain(address.certificate, address.key)
        except OSError as broken:
            raise CannotServe(
                f"{address.certificate} and {address.key} don't make a pair ({broken}); "
                "give a certificate and its own key, both PEM"
            ) from None
    family = socket.AF_INET6 if ":" in address.host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address.host, address.port))
        except OSError as broken:
            raise CannotServe(
                f"port {address.port} of {address.host} can't be used ({broken.strerror}); "
                "choose another with --port"
            ) from None


def worker() -> FastAPI:
    """The app of one worker process."""
    told = json.loads(os.environ[_FOR_WORKERS])
    kept = told["settings"]
    kept |= {"made": Path(kept["made"]), "hosts": frozenset(kept["hosts"])}
    place = Place(database=told["database"], files=Path(told["files"]))
    catalogue = load()
    app = create_app(place.open(), Settings(**kept), catalogue, PlanningProcess(catalogue))
    # Kept plans are many small objects without cycles: looking through them all for garbage, as
    # often as Python does by itself, stops every page for a while and finds nothing.
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
    return app
