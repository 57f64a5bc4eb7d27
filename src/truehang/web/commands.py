"""What does the command line offer around the app? serve, devices, backup and restore."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn
from urllib.parse import urlsplit

import typer

if TYPE_CHECKING:
    from truehang.store import Store
    from truehang.web.run import Address, Place

WRONG, NOT_DONE = 2, 4

Database = Annotated[
    str | None,
    typer.Option(metavar="URL", help="sqlite:///file or postgresql://…; a file of yours if left."),
]
Files = Annotated[
    Path | None, typer.Option(metavar="DIR", help="The folder of photos and issued documents.")
]
Host = Annotated[str, typer.Option(help="The address to listen on.")]
Port = Annotated[int, typer.Option(min=1, max=65535, help="The port to listen on.")]
Lan = Annotated[bool, typer.Option("--lan", help="Let phones on this network in, by HTTPS.")]
Names = Annotated[
    list[str] | None,
    typer.Option("--name", metavar="NAME", help="A name this machine has on the network."),
]
Certificate = Annotated[
    Path | None,
    typer.Option("--cert", metavar="FILE", help="Your certificate (PEM); one is made if left."),
]
Key = Annotated[Path | None, typer.Option("--key", metavar="FILE", help="Its private key (PEM).")]
Zone = Annotated[
    str,
    typer.Option(
        "--zone",
        metavar="NAME",
        help="The time zone you work in (Europe/London); this machine's if left.",
    ),
]
Behind = Annotated[
    str,
    typer.Option(
        "--behind",
        metavar="URL",
        help="The address that people use, where a web server on this machine hands on to here.",
    ),
]
WithoutHttps = Annotated[
    bool,
    typer.Option(
        "--without-https", help="--lan with no certificate: readable on the network, no offline."
    ),
]


def _fail(code: int, text: str) -> NoReturn:
    typer.echo(text, err=True)
    raise typer.Exit(code)


def _place(database: str | None, files: Path | None) -> Place:
    from truehang.web.run import Place

    try:
        return Place.of(database, files)
    except OSError as broken:
        _fail(NOT_DONE, f"{broken.filename}: can't be made ({broken.strerror}); name a --database")


def _open(place: Place) -> Store:
    from truehang.store import DatabaseError

    try:
        return place.open()
    except DatabaseError as broken:
        _fail(NOT_DONE, str(broken))


def _address(
    host: str, port: int, lan: bool, names: list[str] | None, cert: Path | None, key: Path | None
) -> Address:
    """The address as it was asked for, without a certificate of our own making."""
    from truehang.web.run import Address

    if (cert is None) != (key is None):
        _fail(WRONG, "--cert and --key go together; give both")
    for file in (cert, key):
        if file is not None and not file.is_file():
            _fail(WRONG, f"{file}: there is no such file; name the certificate and its key (PEM)")
    return Address(
        host="0.0.0.0" if lan else host,
        port=port,
        names=tuple(names or ()),
        certificate=cert,
        key=key,
    )


def _zone(name: str) -> str:
    from zoneinfo import ZoneInfo

    try:
        return ZoneInfo(name).key if name else ""
    except (ValueError, OSError, KeyError):  # KeyError: no zone of that name
        _fail(WRONG, f"--zone {name!r}: there is no such time zone; write it like Europe/London")


def _handed_on(behind: str, lan: bool) -> str:
    """The address that people use, without a path: what is served lies at its root."""
    told = urlsplit(behind)
    whole = told.scheme in ("http", "https") and told.hostname and not told.path.strip("/")
    if behind and not whole:
        _fail(WRONG, f"--behind {behind!r}: write it like https://jobs.example, without a path")
    if behind and lan:
        _fail(WRONG, "--behind is for a web server on this machine; leave out --lan")
    return behind.rstrip("/")


def _vouched(address: Address, place: Place, without_https: bool) -> Address:
    """With a certificate by an authority of our own, where others reach it and none was given."""
    from truehang.web.run import with_authority

    if address.loopback or address.certificate is not None or without_https:
        return address
    return with_authority(address, place)


def serve(
    database: Database = None,
    files: Files = None,
    host: Host = "127.0.0.1",
    port: Port = 8340,
    lan: Lan = False,
    name: Names = None,
    cert: Certificate = None,
    key: Key = None,
    without_https: WithoutHttps = False,
    no_pairing: Annotated[
        bool, typer.Option("--no-pairing", help="For tests on loopback: let in whoever asks.")
    ] = False,
    behind: Behind = "",
    zone: Zone = "",
    workers: Annotated[int, typer.Option(min=1, max=32, help="Server processes.")] = 1,
) -> None:
    """Open the app in a browser on this machine, and with --lan on phones."""
    from truehang.web import run

    address = replace(_address(host, port, lan, name, cert, key), behind=_handed_on(behind, lan))
    place = _place(database, files)
    store = _open(place)
    try:
        address = _vouched(address, place, without_https)
        settings = run.settings_of(place, address, not no_pairing, _zone(zone))
        if no_pairing:
            typer.echo(f"{address.url}  (no pairing: anyone on this machine is let in)")
        else:
            run.show_links(store, address, sys.stdout)
        store.engine.dispose()
        run.serve(place, address, settings, workers)
    except run.CannotServe as broken:
        _fail(NOT_DONE, str(broken))


def devices(
    new: Annotated[bool, typer.Option("--new", help="Print a link that pairs one more.")] = False,
    revoke: Annotated[
        str | None, typer.Option(metavar="ID", help="Take a device's access away at once.")
    ] = None,
    database: Database = None,
    files: Files = None,
    host: Host = "127.0.0.1",
    port: Port = 8340,
    lan: Lan = False,
    name: Names = None,
    cert: Certificate = None,
    key: Key = None,
    without_https: WithoutHttps = False,
) -> None:
    """List the paired devices, pair one more, or take one's access away.

    For a link give the options that the server was started with.
    """
    from truehang.store import NotFound
    from truehang.store import devices as paired
    from truehang.store import revoke as take_away
    from truehang.web import run

    address = _address(host, port, lan, name, cert, key)
    place = _place(database, files)
    store = _open(place)
    if new:
        try:
            run.show_links(store, _vouched(address, place, without_https), sys.stdout)
        except run.CannotServe as broken:
            _fail(NOT_DONE, str(broken))
        return
    if revoke is not None:
        try:
            take_away(store, revoke)
        except NotFound as wrong:
            _fail(WRONG, f"{wrong}; truehang devices lists them")
    for device in paired(store):
        state = f"access taken away {device.revoked[:16]}" if device.revoked else "paired"
        seen = f", last here {device.seen[:16]}" if device.seen else ""
        typer.echo(f"{device.id}  {device.paired[:16]}  {device.name}  ({state}{seen})")


@contextmanager
def _progress() -> Iterator[Callable[[str, int, int], None]]:
    """Shows on a terminal how far a long piece of work is."""
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as shown:
        bar = shown.add_task("begin", total=None)

        def told(what: str, done: int, of: int) -> None:
            shown.update(bar, description=what, completed=done, total=of)

        yield told


def backup(
    path: Annotated[Path, typer.Argument(help="The file to write (zip).")],
    database: Database = None,
    files: Files = None,
) -> None:
    """Save every job, photo and issued document to one file, and check it."""
    from truehang.store import DatabaseError, FileDamaged
    from truehang.store import backup as save

    store = _open(_place(database, files))
    try:
        with _progress() as told:
            parts = save(store, path, told)
    except OSError as broken:
        _fail(NOT_DONE, f"{path}: can't be written ({broken.strerror}); choose another place")
    except (FileDamaged, DatabaseError) as broken:
        _fail(NOT_DONE, str(broken))
    typer.echo(f"{path} written and checked: {parts} parts")


def restore(
    path: Annotated[Path, typer.Argument(help="A file that truehang backup wrote.")],
    database: Database = None,
    files: Files = None,
) -> None:
    """Bring a backup back into an empty store."""
    from truehang.store import BackupDamaged, DatabaseError, Refused
    from truehang.store import restore as bring_back

    store = _open(_place(database, files))
    try:
        with _progress() as told:
            count = bring_back(store, path, told)
    except (BackupDamaged, Refused, DatabaseError) as broken:
        _fail(NOT_DONE, str(broken))
    typer.echo(f"{count} jobs restored")
