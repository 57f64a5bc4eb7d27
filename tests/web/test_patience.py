"""Connections that never finish what they ask hold up nobody who does.

The attack is the one known for holding web servers with half-sent headers; that paired devices
stay within twice their idle time is this project's own bound.
"""

from __future__ import annotations

import contextlib
import http.client
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from statistics import quantiles
from typing import Any

import httpx
import pytest

from truehang.web import live, patience

HALF = b"GET /pair HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: "


@contextmanager
def connected(url: str, sent: bytes, count: int = 1) -> Iterator[list[socket.socket]]:
    """Connections that sent this and wait."""
    with contextlib.ExitStack() as held:
        sockets = []
        for _ in range(count):
            one = socket.create_connection(("127.0.0.1", int(url.rpartition(":")[2])), timeout=15)
            sockets.append(held.enter_context(one))
            one.sendall(sent)
        yield sockets


def closed(one: socket.socket) -> bool:
    """Whether the server closed the connection, within the socket's own time."""
    try:
        return one.recv(1) == b""
    except ConnectionError:
        return True
    except TimeoutError:
        return False


def p95(client: httpx.Client, url: str) -> float:
    """Of the seconds until a paired device has its list of jobs on a new connection."""
    cookie, times = "; ".join(f"{name}={value}" for name, value in client.cookies.items()), []
    for _ in range(20):
        begun = time.perf_counter()
        asking = http.client.HTTPConnection(url.removeprefix("http://"), timeout=15)
        asking.request("GET", "/api/jobs", headers={"Cookie": cookie})
        assert asking.getresponse().status == 200
        asking.close()
        times.append(time.perf_counter() - begun)
    return quantiles(times, n=20)[-1]


def test_half_sent_headers_slow_nobody_down(serve: Callable[..., Any]) -> None:
    served = serve(stranger_rate=100_000)
    with served.client() as client:
        p95(client, served.url)  # warm
        # The least of several: what else this machine does meanwhile is no matter of the server's.
        idle = min(p95(client, served.url) for _ in range(4))
        with connected(served.url, HALF, 300) as held:
            busy = min(p95(client, served.url) for _ in range(4))
            assert closed(held[0])  # the oldest made room
        print(f"p95 idle {idle * 1000:.0f} ms, with 300 half-sent headers {busy * 1000:.0f} ms")
    assert busy <= 2 * idle + 0.02


def test_a_header_without_an_end_is_cut_off(served: Any, phone: httpx.Client) -> None:
    with connected(served.url, HALF) as (one,):
        sent, block = 0, b"x" * 16_384
        with contextlib.suppress(ConnectionError):
            while sent < 50_000_000:
                one.sendall(block)
                sent += len(block)
        assert sent < 20_000_000  # what lies in the sockets' own buffers, and no more
        begun = time.monotonic()
        assert phone.get("/api/jobs").status_code == 200
        assert time.monotonic() - begun < 5


@pytest.mark.parametrize(
    "sent",
    [b"", HALF, HALF + b"x\r\n", b"GET /pair HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n" + HALF],
)
def test_a_header_has_its_time(served: Any, monkeypatch: pytest.MonkeyPatch, sent: bytes) -> None:
    monkeypatch.setattr(patience, "HEADER_SECONDS", 0.3)
    with connected(served.url, sent) as (one,):
        begun = time.monotonic()
        with contextlib.suppress(OSError):
            while one.recv(65536):
                pass
        assert 0.2 < time.monotonic() - begun < 4.5  # before an idle connection is let go anyway


def test_a_body_has_its_time(served: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(patience, "REQUEST_SECONDS", 0.3)
    head = b"POST /pair HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99\r\n"
    form = b"Content-Type: application/x-www-form-urlencoded\r\n\r\ncode="
    with connected(served.url, head + form) as (one,):
        assert closed(one)


def test_a_connection_that_asks_is_never_closed_for_room(
    served: Any, phone: httpx.Client, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(patience, "MOST_OF_ONE", 8)
    with phone.stream("GET", f"/jobs/{job}/live") as stream:
        lines = stream.iter_lines()
        assert next(lines).startswith("retry")
        with connected(served.url, HALF, 30):
            changed = phone.post(f"/api/jobs/{job}/entries",
                                 json={"kind": "check", "key": "k", "value": 1})  # fmt: skip
            assert changed.status_code == 201
            assert any(line.startswith("event: state") for line in lines)


def test_one_device_holds_so_many_streams(
    served: Any, phone: httpx.Client, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live, "MOST_OF_ONE", 3)
    path = f"/jobs/{job}/live"
    with contextlib.ExitStack() as open_:
        read = []  # kept: a stream is closed as soon as nobody reads it any more
        for _ in range(3):
            stream = open_.enter_context(phone.stream("GET", path))
            read.append(stream.iter_lines())
            assert next(read[-1]).startswith("retry")
        with phone.stream("GET", path) as stream:
            assert stream.status_code == 503
        with served.client("other") as other, other.stream("GET", path) as stream:
            assert next(stream.iter_lines()).startswith("retry")
    until = time.monotonic() + 20
    while time.monotonic() < until:
        with phone.stream("GET", path) as stream:
            if stream.status_code == 200:
                return
        time.sleep(0.2)
    raise AssertionError("a closed stream still counts")
