"""A phone comes to trust a server that nobody gave a certificate: the authority, its page, and a
browser that knows no authority of this kind but the one that the page handed out."""

from __future__ import annotations

import re
import shutil
import socket
import ssl
import stat
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path

import httpx
import pytest
import uvicorn
from cryptography import x509
from cryptography.x509 import verification
from playwright.sync_api import BrowserType, Page, expect
from tests.web.conftest import run as serving

from truehang.web import authority, run
from truehang.web.authority import vouched
from truehang.web.run import own_address
from truehang.web.trusting import Ways, trusting

NAMES = ["192.168.1.20", "workshop.local", "127.0.0.1"]


def _certificate(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(path.read_bytes())


def _verified(site: x509.Certificate, by: bytes, name: str) -> None:
    """Held against RFC 5280 by a verifier that is not ours."""
    store = verification.Store([x509.load_der_x509_certificate(by)])
    try:
        subject: x509.GeneralName = x509.IPAddress(ip_address(name))
    except ValueError:
        subject = x509.DNSName(name)
    asked = verification.PolicyBuilder().store(store).build_server_verifier(subject)  # type: ignore[arg-type]
    asked.verify(site, [])


def test_the_authority_is_kept_for_this_user_only(tmp_path: Path) -> None:
    made = vouched(tmp_path / "trust", NAMES)
    assert made.anew
    for name in NAMES:
        _verified(_certificate(made.site), made.authority, name)
    assert stat.S_IMODE((tmp_path / "trust").stat().st_mode) == 0o700
    files = sorted((tmp_path / "trust").iterdir())
    assert [file.name for file in files] == ["authority.pem", "site.pem"]
    assert {stat.S_IMODE(file.stat().st_mode) for file in files} == {0o600}
    again = vouched(tmp_path / "trust", NAMES)
    assert (again.anew, again.authority) == (False, made.authority)
    assert again.until == made.until


def test_a_certificate_is_renewed_before_it_ends_and_phones_need_not_know(tmp_path: Path) -> None:
    made, now = vouched(tmp_path, NAMES), datetime.now(UTC)
    for years in range(1, 8):
        later = vouched(tmp_path, NAMES, now=now + timedelta(days=350 * years))
        assert later.authority == made.authority
        assert later.until > now + timedelta(days=350 * years + 60)
        assert later.until - (now + timedelta(days=350 * years)) < timedelta(days=398)
    last = vouched(tmp_path, NAMES, now=now + timedelta(days=3500))
    assert last.anew  # it would not outlive a certificate any more
    assert last.authority != made.authority


def test_an_authority_vouches_for_no_website(tmp_path: Path) -> None:
    made = vouched(tmp_path, NAMES)
    known = authority._read(tmp_path / "authority.pem")
    assert known is not None
    forged, _ = authority._site(known, ["shop.example"], datetime.now(UTC))
    with pytest.raises(verification.VerificationError):
        _verified(forged, made.authority, "shop.example")
    asked = vouched(tmp_path, [*NAMES, "jobs.example"])  # a name of one's own
    assert asked.anew
    _verified(_certificate(asked.site), asked.authority, "jobs.example")


def test_a_new_address_or_name_of_the_machine_needs_no_new_authority(tmp_path: Path) -> None:
    made = vouched(tmp_path, NAMES, also=["old-laptop"])
    moved = vouched(tmp_path, ["10.1.2.3", "127.0.0.1"], also=["new-laptop", "new-laptop.local"])
    assert moved.authority == made.authority
    for name in ("10.1.2.3", "new-laptop.local"):
        _verified(_certificate(moved.site), made.authority, name)


@pytest.mark.parametrize("damage", [b"", b"nothing of the kind"])
def test_what_can_t_be_read_any_more_is_made_again(tmp_path: Path, damage: bytes) -> None:
    vouched(tmp_path, NAMES)
    (tmp_path / "site.pem").write_bytes(damage)
    made = vouched(tmp_path, NAMES)
    assert not made.anew
    (tmp_path / "authority.pem").write_bytes(damage)
    made = vouched(tmp_path, NAMES)
    assert made.anew
    _verified(_certificate(made.site), made.authority, NAMES[0])


def test_a_renewed_certificate_is_shown_without_a_restart(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(run, "SECONDS_BETWEEN_LOOKS", 0.05)
    made = vouched(tmp_path, ["127.0.0.1"])

    async def app(scope: object, receive: object, send: object) -> None: ...

    config = uvicorn.Config(
        app, ssl_certfile=made.site, ssl_context_factory=run.renewed, log_level="error"
    )
    config.load()
    assert config.ssl is not None
    with socket.create_server(("127.0.0.1", 0)) as listening:
        secured = config.ssl.wrap_socket(listening, server_side=True)

        def answer() -> None:
            while True:
                try:
                    secured.accept()[0].close()
                except OSError:
                    return

        threading.Thread(target=answer, daemon=True).start()
        port = listening.getsockname()[1] if listening.fileno() >= 0 else secured.getsockname()[1]
        before = ssl.get_server_certificate(("127.0.0.1", port))
        vouched(tmp_path, ["127.0.0.1"], now=datetime.now(UTC) + timedelta(days=350))
        until = time.monotonic() + 10
        while time.monotonic() < until:
            after = ssl.get_server_certificate(("127.0.0.1", port))
            if after != before:
                break
        secured.close()
    assert after != before


def test_the_page_hands_out_the_certificate_and_nothing_else() -> None:
    app = trusting(b"DER", "AB CD", Ways("http://10.0.0.2:8341", ("https://10.0.0.2:8340",)))
    url, server, thread = serving(app)
    with httpx.Client(base_url=url) as phone:
        shown = phone.get("/")
        assert "AB CD" in shown.text
        assert "<svg" in shown.text  # the code that another device scans
        assert "code=" not in shown.text  # what is read on the way here pairs nobody
        got = phone.get("/authority.crt")
        assert got.content == b"DER"
        assert got.headers["content-type"] == "application/x-x509-ca-cert"
        for path in ("/jobs", "/static/truehang.js", "/pair", "/static/..%2f..%2frun.py"):
            assert phone.get(path).status_code == 404
    server.should_exit = True
    thread.join(20)


# ---------------------------------------------------------------- in a browser


@contextmanager
def _on_the_network(folder: Path) -> Iterator[list[str]]:
    """What `truehang serve --lan` prints, while it runs."""
    port = _two_ports()
    command = [
        sys.executable, "-m", "truehang.cli", "serve", "--lan", "--port", str(port),
        "--database", f"sqlite:///{folder / 'jobs.db'}", "--files", str(folder / "files"),
    ]  # fmt: skip
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        lines: list[str] = []
        for line in server.stdout:
            lines.append(line.strip())
            if line.startswith("https://"):
                break
        until = time.monotonic() + 60
        while time.monotonic() < until:
            try:
                httpx.get(f"https://127.0.0.1:{port}/trusted", verify=False)
                break
            except httpx.TransportError:
                time.sleep(0.1)
        yield lines
        server.terminate()
        server.wait(30)


def _two_ports() -> int:
    while True:
        with socket.socket() as one, socket.socket() as two:
            one.bind(("0.0.0.0", 0))
            port: int = one.getsockname()[1]
            try:
                two.bind(("0.0.0.0", port + 1))
            except (OSError, OverflowError):
                continue
            return port


@contextmanager
def _browser(browsers: BrowserType, home: Path) -> Iterator[Page]:
    """A phone's browser of somebody who has this home."""
    browser = browsers.launch(
        executable_path="/usr/bin/chromium", args=["--no-sandbox"], env={"HOME": str(home)}
    )
    yield browser.new_page(viewport={"width": 390, "height": 844})
    browser.close()


def _trust(home: Path, certificate: bytes) -> None:
    """Take a certificate in as an authority for websites, as the browser's own settings do."""
    program = shutil.which("certutil")
    assert program, "install Debian's package libnss3-tools"
    kept = home / ".pki/nssdb"
    kept.mkdir(parents=True)
    (home / "authority.crt").write_bytes(certificate)
    for words in (
        ["-N", "--empty-password"],
        ["-A", "-n", "mine", "-t", "C,,", "-i", str(home / "authority.crt")],
    ):
        subprocess.run([program, "-d", f"sql:{kept}", *words], check=True)


@pytest.mark.browser
def test_a_phone_trusts_then_pairs(browsers: BrowserType, tmp_path: Path) -> None:
    stranger, phone = tmp_path / "stranger", tmp_path / "phone"
    stranger.mkdir()
    with _on_the_network(tmp_path) as said:
        page_of = next(line for line in said if re.fullmatch(r"http://[\d.]+:\d+", line))
        link = said[-1]
        with _browser(browsers, stranger) as page:
            page.goto(page_of)
            expect(page.locator("#state")).to_contain_text("Not yet")
            expect(page.get_by_text("It worked")).to_be_hidden()
            with page.expect_download() as got:
                page.get_by_role("link", name="Get the certificate").click()
            certificate = got.value.path().read_bytes()
            assert _refused(lambda: page.goto(link))
        pairs = " ".join(re.findall("..", _sha256(certificate).upper()))
        assert pairs in said  # what the machine printed is what the phone got
        _trust(phone, certificate)
        with _browser(browsers, phone) as page:
            page.goto(page_of)
            expect(page.get_by_text("It worked")).to_be_visible()
            page.get_by_role("link", name="open the pairing page").click()
            expect(page.get_by_role("heading", name="Pair this device")).to_be_visible()
            page.goto(link)
            page.get_by_role("button", name="Pair this device").click()
            expect(page.get_by_role("link", name="New job")).to_be_visible()
            assert page.evaluate("navigator.serviceWorker.ready.then(() => true)")
            page.goto(link.partition("/pair")[0] + "/devices")
            page.get_by_role("button", name="Pair one more").click()
            expect(page.get_by_text(page_of)).to_be_visible()


def _refused(go: Callable[[], object]) -> bool:
    try:
        go()
    except Exception as refused:
        return "ERR_CERT_AUTHORITY_INVALID" in str(refused)
    return False


def _sha256(data: bytes) -> str:
    from hashlib import sha256

    return sha256(data).hexdigest()


def test_a_port_for_the_page_that_is_taken_is_said(tmp_path: Path) -> None:
    from typer.testing import CliRunner

    from truehang.cli import app

    port = _two_ports()
    with socket.create_server(("0.0.0.0", port + 1)):
        said = CliRunner().invoke(
            app,
            ["serve", "--lan", "--port", str(port), "--database", f"sqlite:///{tmp_path / 'j.db'}",
             "--files", str(tmp_path / "files")],
        )  # fmt: skip
    assert said.exit_code == 4
    assert f"port {port + 1}" in said.output
    assert own_address() in said.output
