"""How is the app started? Sockets, the names it answers to and the certificate it shows, the link
that pairs, the workers."""

from __future__ import annotations

import gc
import json
import logging
import multiprocessing.connection
import os
import signal
import socket
import ssl
import tempfile
import threading
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import segno
import uvicorn
from fastapi import FastAPI
from platformdirs import user_data_path

from truehang.catalogue import load
from truehang.store import Store, new_code, private
from truehang.web import trusting
from truehang.web.app import create_app
from truehang.web.authority import Vouched, local_name, vouched
from truehang.web.health import SHARED
from truehang.web.logs import CONFIG
from truehang.web.patience import Handed, Patient
from truehang.web.planning import PlanningProcess
from truehang.web.settings import LOOPBACK, Settings

_log = logging.getLogger(__name__)
_FOR_WORKERS = "TRUEHANG_SERVE"
MOST_CONNECTIONS = 500
SECONDS_TO_STOP = 3
"""How long what was begun may take after the word to stop."""
SECONDS_TO_START = 60
"""How long a worker may say nothing: a busy machine takes many seconds to load one."""
SECONDS_BETWEEN_LOOKS = 3600.0
"""How often a certificate is looked at: does it near its end, and is there a newer one?"""


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
            private.folder(home)
            database = f"sqlite:///{home / 'jobs.db'}"
        return cls(database=database, files=files or home / "files")

    @property
    def trust(self) -> Path:
        """Where the authority and the certificate of this server are kept."""
        return self.files.parent / "trust"

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

    behind: str = ""
    """The address by which another web server on this machine hands on to this one."""
    vouched: Vouched | None = None
    """Set where the certificate is by an authority of our own."""

    @property
    def loopback(self) -> bool:
        """Whether only this machine can reach it by itself."""
        return self.host in LOOPBACK or self.host == "::1"

    @property
    def hosts(self) -> frozenset[str]:
        """Every name it answers to."""
        own = () if self.loopback else (own_address(), *_own_names())
        handed_on = (urlsplit(self.behind).hostname or "",) if self.behind else ()
        return LOOPBACK | {name.lower() for name in (*self.names, *own, *handed_on)}

    @property
    def url(self) -> str:
        """What to type into a browser that may reach it."""
        if self.behind:
            return self.behind
        scheme = "https" if self.certificate else "http"
        if self.names:
            name = self.names[0]
        else:
            name = "127.0.0.1" if self.loopback else own_address()
        return f"{scheme}://{name}:{self.port}"

    @property
    def by_address(self) -> str:
        """The same without a name."""
        return replace(self, names=()).url

    @property
    def trust(self) -> str:
        """Where a phone comes to trust the authority; "" where it needn't. Always by the address:
        a name that was once told to be asked by HTTPS only could not be asked any other way."""
        return f"http://{own_address()}:{self.port + 1}" if self.vouched else ""


def _own_names() -> tuple[str, ...]:
    name = socket.gethostname().lower()
    return name, f"{name.partition('.')[0]}.local"


def with_authority(address: Address, place: Place) -> Address:
    """The address with a certificate by an authority of our own, and with the name that this
    machine answers to on its network, if it does. Raises CannotServe."""
    names = address.names or tuple(filter(None, [local_name()]))
    try:
        made = _vouched(place, names)
    except OSError as broken:
        raise CannotServe(
            f"{place.trust}: the certificate can't be kept there ({broken.strerror}); name another "
            "place with --files, or give a certificate with --cert and --key"
        ) from None
    return replace(address, names=names, certificate=made.site, vouched=made)


def _vouched(place: Place, names: tuple[str, ...]) -> Vouched:
    wanted = {name.lower() for name in names} | {own_address(), "127.0.0.1", "localhost"}
    return vouched(place.trust, wanted, _own_names())


def own_address() -> str:
    """This machine's address on its network. Nothing is sent to find it out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address that is nobody's
        except OSError:
            return "127.0.0.1"
        name: str = probe.getsockname()[0]
        return name


def show_links(store: Store, address: Address, out: Any) -> None:
    """Print what a new device has to open: to trust the server where it has to, then to pair."""
    if address.vouched is not None:
        out.write("1. A new phone, once: scan this, and do what the page says.\n")
        _show(address.trust, out)
        out.write(f"   The certificate's SHA-256:\n   {address.vouched.fingerprint}\n")
        if address.vouched.anew:
            out.write("   The authority is new: phones that trusted an older one do this again.\n")
        out.write("2. Then scan this; it pairs one device, once, in the next ten minutes:\n")
    else:
        out.write("Open this link; it pairs one device, once, in the next ten minutes:\n")
    code = new_code(store)
    _show(f"{address.url}/pair?code={code}", out)
    if address.vouched is not None and address.url != address.by_address:
        out.write(f"A phone that does not find that name: {address.by_address}/pair?code={code}\n")
    out.flush()


def _show(link: str, out: Any) -> None:
    """A link, and its QR code for a phone's camera."""
    out.write(f"{link}\n")
    segno.make(link, error="l").terminal(out, compact=True)


def settings_of(place: Place, address: Address, pairing: bool, zone: str = "") -> Settings:
    """The app's settings for this place and address. Raises CannotServe where that isn't safe."""
    if not pairing and not address.loopback:
        raise CannotServe("--no-pairing is for loopback only; leave out --lan and --host")
    return Settings(
        made=place.files.parent / "made",
        url=address.url,
        hosts=address.hosts,
        pairing=pairing,
        https=address.certificate is not None or address.behind.startswith("https:"),
        trust=address.trust,
        zone=zone,
    )


def serve(place: Place, address: Address, settings: Settings, workers: int) -> None:
    """Serve until stopped. Raises CannotServe where the port or the certificate can't be used."""
    _check(address)
    _stand_by(place, address)
    if workers > 1:  # they count together in a folder
        os.environ[SHARED] = tempfile.mkdtemp(prefix="truehang-counts-")
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
        proxy_headers=bool(address.behind),
        forwarded_allow_ips="127.0.0.1,::1",
        log_config=CONFIG,
        ssl_certfile=address.certificate,
        ssl_keyfile=address.key,
        ssl_context_factory=renewed if address.certificate else None,
        timeout_graceful_shutdown=SECONDS_TO_STOP,
        timeout_worker_healthcheck=SECONDS_TO_START,
        limit_concurrency=MOST_CONNECTIONS,
        http=Handed if address.behind else Patient,
    )


def _stand_by(place: Place, address: Address) -> None:
    """Keep the certificate from ending, and hand out the authority's, as long as this runs."""
    if address.vouched is None:
        return
    apps = tuple(dict.fromkeys((address.url, address.by_address)))
    ways = trusting.Ways(address.trust, apps)
    page = trusting.trusting(address.vouched.authority, address.vouched.fingerprint, ways)
    trusting.beside(page, address.host, address.port + 1)
    _now_and_then(partial(_vouched, place, address.names))


def renewed(config: uvicorn.Config, default: Callable[[], ssl.SSLContext]) -> ssl.SSLContext:
    """The certificate as its file says: one that was renewed there is shown from then on."""
    context, file = default(), Path(str(config.ssl_certfile))
    seen = [file.stat().st_mtime_ns]

    def look() -> None:
        if (now := file.stat().st_mtime_ns) != seen[0]:
            context.load_cert_chain(file, config.ssl_keyfile)
            seen[0] = now

    _now_and_then(look)
    return context


def _now_and_then(look: Callable[[], object]) -> None:
    def looking() -> None:
        while True:
            time.sleep(SECONDS_BETWEEN_LOOKS)
            try:
                look()
            except (OSError, ssl.SSLError) as broken:
                _log.warning("the certificate can't be renewed now: %s", broken)

    threading.Thread(target=looking, daemon=True, name="certificate").start()


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
    for port in (address.port, address.port + 1)[: 2 if address.vouched else 1]:
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((address.host, port))
            except (OSError, OverflowError) as broken:
                reason = getattr(broken, "strerror", None) or broken
                raise CannotServe(
                    f"port {port} of {address.host} can't be used ({reason}); "
                    "choose another with --port"
                ) from None


def _end_with_parent() -> None:
    """A worker whose parent was killed ends what it is at, and then itself."""
    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def wait() -> None:
        multiprocessing.connection.wait([parent.sentinel])
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(2 * SECONDS_TO_STOP)
        os._exit(1)

    threading.Thread(target=wait, daemon=True, name="parent").start()


def worker() -> FastAPI:
    """The app of one worker process."""
    _end_with_parent()
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
