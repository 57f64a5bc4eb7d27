"""The commands round the app: started safely or not at all, devices, backup and restore."""

from __future__ import annotations

import ipaddress
import re
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from typer.testing import CliRunner, Result

from truehang.cli import app
from truehang.job import load, starter
from truehang.store import Store


@pytest.fixture
def place(tmp_path: Path, new_url: Any) -> list[str]:
    return ["--database", new_url(), "--files", str(tmp_path / "files")]


def _run(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


@pytest.fixture
def certificate(tmp_path: Path) -> tuple[Path, Path]:
    """A certificate for this machine that signs itself, and its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "workshop")])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=2))
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address("127.0.0.1"))]), False
        )
        .sign(key, hashes.SHA256())
    )
    cert, private = tmp_path / "cert.pem", tmp_path / "key.pem"
    cert.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    private.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    return cert, private


@pytest.mark.parametrize(
    "words, said",
    [
        (["--lan", "--without-https", "--no-pairing"], "loopback only"),
        (["--lan", "--cert", "gone.pem", "--key", "gone.pem"], "there is no such file"),
        (["--cert", __file__], "go together"),
        (["--cert", __file__, "--key", __file__], "don't make a pair"),
    ],
)
def test_what_is_not_safe_is_not_started(place: list[str], words: list[str], said: str) -> None:
    refused = _run("serve", *place, *words)
    assert refused.exit_code in (2, 4)
    assert said in refused.output


def test_a_taken_port_is_said(place: list[str]) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        refused = _run("serve", *place, "--port", str(port))
    assert refused.exit_code == 4
    assert f"port {port}" in refused.output


@pytest.fixture
def https(place: list[str], certificate: tuple[Path, Path]) -> Iterator[tuple[str, str]]:
    """The address and the pairing link of a server with two workers, as a user starts it."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    cert, key = map(str, certificate)
    command = [
        sys.executable, "-m", "truehang.cli", "serve", *place, "--port", str(port),
        "--cert", cert, "--key", key, "--workers", "2",
    ]  # fmt: skip
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        link = next(line for line in server.stdout if line.startswith("https://")).strip()
        yield f"https://127.0.0.1:{port}", link
        server.terminate()
        server.wait(30)


def test_a_phone_pairs_over_https_by_the_printed_link(
    https: tuple[str, str], certificate: tuple[Path, Path]
) -> None:
    url, link = https
    trust = ssl.create_default_context(cafile=str(certificate[0]))
    with httpx.Client(base_url=url, verify=trust, timeout=30) as phone:
        until = time.monotonic() + 180
        while time.monotonic() < until:
            try:
                phone.get("/pair")
                break
            except httpx.TransportError:
                time.sleep(0.1)
        assert link.startswith(f"{url}/pair?code=")
        code = link.partition("=")[2]
        paired = phone.post("/pair", data={"code": code, "name": "phone"})
        assert paired.status_code == 303
        assert "Secure" in paired.headers["set-cookie"]
        for _ in range(6):  # whichever worker answers
            assert phone.get("/api/session").json()["who"] == "phone"


def test_devices_are_listed_and_revoked(place: list[str]) -> None:
    shown = _run("devices", *place, "--new").output
    assert re.search(r"http://127\.0\.0\.1:8340/pair\?code=[\w-]{20,}", shown)
    assert _run("devices", *place, "--revoke", "nobody").exit_code == 2


def test_a_backup_is_written_and_brought_back(
    place: list[str], tmp_path: Path, new_url: Any
) -> None:
    store = Store.open(place[1], Path(place[3]))
    job = store.create(load(starter()), "office")
    store.engine.dispose()
    file = tmp_path / "jobs.zip"
    assert _run("backup", str(file), *place).exit_code == 0
    empty = ["--database", new_url(), "--files", str(tmp_path / "new")]
    restored = _run("restore", str(file), *empty)
    assert restored.exit_code == 0, restored.output
    again = Store.open(empty[1], Path(empty[3]))
    assert again.head(job.job) == job
    again.engine.dispose()
    assert _run("restore", str(file), *empty).exit_code == 4  # it holds jobs now
    file.write_bytes(b"PK" + file.read_bytes()[2:-40])
    assert _run("restore", str(file), *empty).exit_code == 4
    assert _run("backup", str(tmp_path / "no" / "x.zip"), *place).exit_code == 4
