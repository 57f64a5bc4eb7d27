"""What whoever runs the server needs of it: is it well, what did it do, does it stop, and start?"""

from __future__ import annotations

import http.client
import json
import logging
import os
import re
import shlex
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import psutil
import pytest
from prometheus_client.parser import text_string_to_metric_families
from sqlalchemy import text

from truehang.job import starter
from truehang.store import Away, Store
from truehang.web.authority import vouched
from truehang.web.logs import Lines

ROOT = Path(__file__).parents[2]


def test_who_watches_needs_no_pairing_and_learns_nothing_else(served: Any) -> None:
    with httpx.Client(base_url=served.url, headers={"Host": "10.0.0.7:8340"}) as watcher:
        assert watcher.get("/healthz").text == "well\n"
        assert watcher.get("/readyz").text == "ready\n"
        assert watcher.get("/jobs").status_code == 421


def test_what_is_measured_is_told_to_this_machine_by_routes_alone(
    served: Any, phone: httpx.Client, job: str
) -> None:
    phone.get(f"/jobs/{job}/history")
    phone.get("/nothing/of/that/kind")
    with httpx.Client(base_url=served.url) as watcher:
        told = watcher.get("/metrics").text
        for way in ("X-Forwarded-For", "Forwarded", "Via"):
            assert watcher.get("/metrics", headers={way: "192.0.2.7"}).status_code == 401
    assert job not in told
    assert "nothing/of" not in told
    # Read by the parser of the library that defines the format.
    rows = [
        sample
        for family in text_string_to_metric_families(told)
        for sample in family.samples
        if sample.name == "truehang_requests_total"
    ]
    counted = {(row.labels["route"], row.labels["status"]): row.value for row in rows}
    assert counted["/jobs/{job}/history", "200"] >= 1
    assert counted["none", "404"] >= 1


def test_a_database_that_another_version_took_over_is_not_written_to(
    serve: Callable[..., Any],
) -> None:
    served = serve()
    with served.client() as phone:
        job = phone.post("/api/jobs", json={"text": starter()}).json()["job"]
        with served.store.engine.begin() as db:
            db.execute(text("UPDATE alembic_version SET version_num = '9999'"))
        refused = phone.post(f"/api/jobs/{job}/undo", json={})
        assert refused.status_code == 503
        assert "nother version of Truehang" in refused.json()["detail"]
        not_ready = phone.get("/readyz")
        assert (not_ready.status_code, "9999" in not_ready.text) == (503, True)
        assert phone.get("/healthz").status_code == 200
    with pytest.raises(Away, match="start this server again with that version"):
        served.store.record(job, "check", "k", 1, True, "a")
    assert served.store.entries(job) == ()


def test_a_line_of_the_log_says_where_but_never_what_of_a_job() -> None:
    def trouble(reading: str) -> None:
        raise ValueError(f"{reading} is wrong")

    def line(logger: str, message: str, *, error: bool) -> dict[str, Any]:
        try:
            trouble("Mrs Secret's 2105")
        except ValueError:
            told = sys.exc_info() if error else None
            record = logging.LogRecord(logger, logging.ERROR, "f", 1, message, ("Secret",), told)
            found: dict[str, Any] = json.loads(Lines().format(record))
            return found

    ours = line("truehang.web", "a pack can't be made%.0s", error=True)
    assert (ours["what"], ours["trouble"]) == ("a pack can't be made", "ValueError")
    assert any("trouble" in place for place in ours["through"])
    theirs = line("some.library", "got %s", error=True)
    for told in (ours, theirs):
        assert "Secret" not in json.dumps(told)
        assert "2105" not in json.dumps(told)


# ---------------------------------------------------------------- as a process


@contextmanager
def _server(folder: Path, *options: str) -> Iterator[tuple[subprocess.Popen[str], int]]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [
        sys.executable, "-m", "truehang.cli", "serve", "--port", str(port),
        "--database", f"sqlite:///{folder / 'jobs.db'}", "--files", str(folder / "files"), *options,
    ]  # fmt: skip
    with (folder / "out").open("w") as out, (folder / "log").open("w") as log:
        server = subprocess.Popen(command, stdout=out, stderr=log, text=True)
    try:
        _until(lambda: _answers(port))
        yield server, port
    finally:
        if server.poll() is None:
            server.kill()
        server.wait()


def _answers(port: int) -> bool:
    try:
        return httpx.get(f"http://127.0.0.1:{port}/readyz").status_code == 200
    except httpx.TransportError:
        return False


def _until(true: Callable[[], bool], seconds: float = 120) -> None:
    until = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < until
        time.sleep(0.1)


def test_told_to_stop_it_ends_what_was_begun(tmp_path: Path) -> None:
    with _server(tmp_path, "--no-pairing") as (server, port):
        url = f"http://127.0.0.1:{port}"
        token = httpx.get(f"{url}/api/session").json()["csrf"]
        body = json.dumps({"text": starter(), "op": "last"}).encode()
        halfway = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        halfway.putrequest("POST", "/api/jobs")
        for name, value in (("Content-Type", "application/json"), ("X-CSRF-Token", token),
                            ("Content-Length", str(len(body)))):  # fmt: skip
            halfway.putheader(name, value)
        halfway.endheaders(body[:100])
        time.sleep(0.3)
        server.send_signal(signal.SIGTERM)
        time.sleep(0.5)
        halfway.send(body[100:])
        assert halfway.getresponse().status == 201
        server.wait(20)
    store = Store.open(f"sqlite:///{tmp_path / 'jobs.db'}", tmp_path / "files")
    assert len(store.jobs()) == 1
    store.engine.dispose()
    for line in (tmp_path / "log").read_text().splitlines():
        assert json.loads(line)["level"]  # every line is one of ours


def test_a_server_that_was_killed_leaves_no_orphans(tmp_path: Path) -> None:
    with _server(tmp_path, "--no-pairing", "--workers", "2") as (server, _):
        of_it = psutil.Process(server.pid).children(recursive=True)
        assert len(of_it) >= 4  # two workers, each with its planning process
        server.kill()
        _, left = psutil.wait_procs(of_it, timeout=30)
        assert left == []


def test_the_example_service_and_container_start_what_there_is() -> None:
    from click import Context
    from typer.main import get_command

    from truehang.cli import app

    serve = get_command(app).get_command(Context(get_command(app)), "serve")  # type: ignore[attr-defined]
    options = {each for one in serve.params for each in one.opts}
    unit = (ROOT / "deploy/truehang.service").read_text()
    started = shlex.split(re.findall(r"^ExecStart=(.*)$", unit, re.MULTILINE)[0])
    assert started[1] == "serve"
    container = (ROOT / "deploy/Containerfile").read_text()
    entry = json.loads(re.findall(r"^ENTRYPOINT (.*)$", container, re.MULTILINE)[0])
    run = re.findall(r"truehang (--.*)$", container, re.MULTILINE)[0].split()
    for words in (started, entry, run):
        assert {word for word in words if word.startswith("--")} <= options
    if shutil.which("systemd-analyze"):
        subprocess.run(
            ["systemd-analyze", "--user", "verify", str(ROOT / "deploy/truehang.service")],
            check=False,
        )


def test_behind_another_web_server(tmp_path: Path) -> None:
    """The example in deploy/, in Debian's web server."""
    program = shutil.which("nginx") or "/usr/sbin/nginx"
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        front = probe.getsockname()[1]
    made = vouched(tmp_path / "trust", ["127.0.0.1"])
    url = f"https://127.0.0.1:{front}"
    with _server(tmp_path, "--behind", url) as (_, port):
        example = (ROOT / "deploy/nginx.conf").read_text()
        for old, new in (
            ("listen 443 ssl", f"listen 127.0.0.1:{front} ssl"),
            ("127.0.0.1:8340", f"127.0.0.1:{port}"),
            ("/etc/ssl/jobs.example.pem", str(made.site)),
            ("/etc/ssl/jobs.example.key", str(made.site)),
        ):
            assert old in example
            example = example.replace(old, new)
        config = tmp_path / "nginx.conf"
        paths = "\n".join(
            f"{name}_temp_path {tmp_path}/{name};"
            for name in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
        )
        config.write_text(
            f"daemon off; pid {tmp_path}/pid; error_log {tmp_path}/error.log; events {{}}\n"
            f"http {{ access_log off; {paths}\n{example} }}"
        )
        # It runs as nobody where root starts it, and has to reach its folders.
        words = [program, "-c", str(config), "-p", str(tmp_path)]
        if os.geteuid() == 0:
            words += ["-g", "user root;"]
        proxy = subprocess.Popen(words)
        try:
            trust = ssl.create_default_context(cadata=ssl.DER_cert_to_PEM_cert(made.authority))
            with httpx.Client(base_url=url, verify=trust, timeout=30) as phone:
                _until(lambda: _reached(phone))
                link = next(
                    line for line in (tmp_path / "out").read_text().splitlines()
                    if line.startswith(url)
                )  # fmt: skip
                paired = phone.post(
                    "/pair", data={"code": link.partition("code=")[2], "name": "phone"},
                    headers={"Origin": url},
                )  # fmt: skip
                assert paired.status_code == 303
                assert "__Host-truehang" in paired.headers["set-cookie"]
                assert "max-age" in phone.get("/").headers["strict-transport-security"]
                phone.headers["X-CSRF-Token"] = phone.get("/api/session").json()["csrf"]
                job = phone.post("/api/jobs", json={"text": starter()}, headers={"Origin": url})
                assert job.status_code == 201
                with phone.stream("GET", f"/jobs/{job.json()['job']}/live") as live:
                    assert "retry" in next(live.iter_text())  # at once, not when it is full
                assert phone.get("/metrics").status_code != 200
            with httpx.Client(base_url=url, verify=trust) as stranger:
                tries = [
                    stranger.post("/pair", data={"code": "x"},
                                  headers={"X-Forwarded-For": f"192.0.2.{number}"}).status_code
                    for number in range(12)
                ]  # fmt: skip
            assert tries[-1] == 429  # one who tries is one, whatever he says of himself
        finally:
            proxy.terminate()
            proxy.wait(20)


def _reached(phone: httpx.Client) -> bool:
    try:
        return phone.get("/healthz").status_code == 200
    except httpx.TransportError:
        return False
