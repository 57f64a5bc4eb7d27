"""What several rooms' tests share: a real PostgreSQL server on loopback, started once."""

from __future__ import annotations

import getpass
import os
import shutil
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest


def _postgres_bin() -> Path:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    path = found[-1] if found else shutil.which("initdb")
    if path is None:
        # Nothing may be skipped in CI, and a store that is not tested is not known to work.
        pytest.fail("no PostgreSQL server here: install Debian's package postgresql")
    return Path(path).resolve().parent


@pytest.fixture(scope="session")
def postgres_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The URL of a fresh PostgreSQL server on loopback, without a database name."""
    programs, base = _postgres_bin(), tmp_path_factory.mktemp("postgres")
    user = "postgres" if os.geteuid() == 0 else None  # the server refuses to run as root
    if user:
        for folder in (base, *base.parents):
            if folder.owner() != getpass.getuser() or folder == Path("/"):
                break
            if not os.access(folder, os.X_OK) or folder.stat().st_mode & 0o005 != 0o005:
                folder.chmod(0o755)
        shutil.chown(base, user)
    data = base / "data"

    def run(*command: str | Path) -> None:
        subprocess.run(command, check=True, capture_output=True, user=user, cwd=base)

    run(programs / "initdb", "-D", data, "-U", "truehang", "-A", "trust", "--no-sync")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    options = f"-p {port} -h 127.0.0.1 -k {base} -c fsync=off -c max_connections=200"
    run(programs / "pg_ctl", "-D", data, "-w", "-l", base / "log", "-o", options, "start")
    yield f"postgresql://truehang@127.0.0.1:{port}"
    run(programs / "pg_ctl", "-D", data, "-m", "immediate", "stop")
