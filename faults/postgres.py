"""A PostgreSQL server of one's own, to work on and to switch off."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path


def _programs() -> Path:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    path = found[-1] if found else shutil.which("initdb")
    if path is None:
        raise RuntimeError("no PostgreSQL server here: install Debian's package postgresql")
    return Path(path).resolve().parent


class Postgres:
    """A PostgreSQL server of its own on loopback, which can be stopped and started again.

    `hard` keeps what is acknowledged through a switch-off, as a real one does; without it the
    server is quicker, for tests that never switch the machine off.
    """

    def __init__(self, base: Path, *, hard: bool = False) -> None:
        self._base, self._programs, self._hard = base, _programs(), hard
        self._user = "postgres" if os.geteuid() == 0 else None  # it refuses to run as root
        if self._user:
            shutil.chown(base, self._user)
        options = ("-U", "truehang", "-A", "trust", "--no-sync")
        self._run(self._programs / "initdb", "-D", base / "data", *options)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self._port = probe.getsockname()[1]
        self.url = f"postgresql://truehang@127.0.0.1:{self._port}"

    def start(self) -> None:
        """Back when it answers."""
        options = f"-p {self._port} -h 127.0.0.1 -k {self._base} -c max_connections=200"
        if not self._hard:
            options += " -c fsync=off -c full_page_writes=off"
        self._control("-w", "-l", self._base / "log", "-o", options, "start")

    def stop(self) -> None:
        """Without a word to anybody, as when its machine is switched off."""
        self._control("-m", "immediate", "stop")

    def _control(self, *words: str | Path) -> None:
        self._run(self._programs / "pg_ctl", "-D", self._base / "data", *words)

    def _run(self, *command: str | Path) -> None:
        # Not captured: a server that is started would keep the pipe open.
        subprocess.run(
            command, check=True, user=self._user, cwd=self._base,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip


@contextmanager
def own_postgres(*, hard: bool = False) -> Iterator[Postgres]:
    """A fresh server, running."""
    # Not in pytest's own folder: another run of pytest shuts that to every other user.
    with tempfile.TemporaryDirectory(prefix="truehang-postgres-") as folder:
        server = Postgres(Path(folder), hard=hard)
        server.start()
        try:
            yield server
        finally:
            with suppress(subprocess.CalledProcessError):
                server.stop()
