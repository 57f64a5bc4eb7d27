"""A fresh app over a fresh store, asked as a browser asks it."""

from __future__ import annotations

import re
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest
import uvicorn
from fastapi import FastAPI
from playwright.sync_api import Browser, BrowserType, sync_playwright

from truehang.job import starter
from truehang.store import Store, new_code
from truehang.web.app import create_app
from truehang.web.patience import Patient
from truehang.web.run import MOST_CONNECTIONS
from truehang.web.settings import Settings


@dataclass
class Served:
    """An app that is served on loopback: its store, its settings and its address."""

    store: Store
    settings: Settings
    url: str
    server: uvicorn.Server
    thread: threading.Thread

    def stop(self) -> None:
        self.server.should_exit = True
        self.thread.join(20)

    def again(self) -> None:
        """Serve at the same address again."""
        port = int(self.url.rpartition(":")[2])
        _, self.server, self.thread = run(create_app(self.store, self.settings), port)

    @contextmanager
    def client(self, name: str = "phone") -> Iterator[httpx.Client]:
        """A browser of a device that is paired, with its token in every request."""
        with httpx.Client(base_url=self.url, timeout=30) as client:
            if self.settings.pairing:
                answer = client.post("/pair", data={"code": new_code(self.store), "name": name})
                assert answer.status_code == 303
            client.headers["X-CSRF-Token"] = client.get("/api/session").json()["csrf"]
            yield client


def run(app: FastAPI, port: int = 0) -> tuple[str, uvicorn.Server, threading.Thread]:
    """Serve an app from a thread; back when it answers."""
    config = uvicorn.Config(
        app, port=port, log_level="error", access_log=False, timeout_graceful_shutdown=1,
        http=Patient, limit_concurrency=MOST_CONNECTIONS,
    )  # fmt: skip
    listening = socket.socket()
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    listening.bind(("127.0.0.1", port))
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    until = time.monotonic() + 30
    while not server.started and time.monotonic() < until:
        time.sleep(0.01)
    assert server.started
    return f"http://127.0.0.1:{listening.getsockname()[1]}", server, thread


@contextmanager
def _serving(folder: Path, new_url: Any) -> Iterator[Callable[..., Served]]:
    running: list[Served] = []
    urls: list[str] = []

    def start(**settings: object) -> Served:
        place = folder / f"served-{len(running)}"
        urls.append(new_url())
        store = Store.open(urls[-1], place / "files")
        made = Settings(made=place / "made", **settings)  # type: ignore[arg-type]
        served = Served(store, made, *run(create_app(store, made)))
        running.append(served)
        return served

    yield start
    for served in running:
        served.stop()
        served.store.engine.dispose()
    for url in urls:
        new_url.drop(url)


@pytest.fixture
def serve(tmp_path: Path, new_url: Any) -> Iterator[Callable[..., Served]]:
    """Serves apps over fresh stores; keywords are settings."""
    with _serving(tmp_path, new_url) as start:
        yield start


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory, new_url: Any) -> Iterator[Served]:
    """An app that wants devices to be paired; one for all tests of a file."""
    with _serving(tmp_path_factory.mktemp("served"), new_url) as start:
        yield start(pair_rate=1000, stranger_rate=100_000)


@pytest.fixture
def phone(served: Served) -> Iterator[httpx.Client]:
    """A paired device's browser."""
    with served.client("phone") as client:
        yield client


@pytest.fixture
def job(phone: httpx.Client) -> str:
    """The id of a job made from the starter file."""
    made = phone.post("/api/jobs", json={"text": starter()})
    assert made.status_code == 201
    found: str = made.json()["job"]
    assert re.fullmatch("[0-9a-f]{32}", found)
    return found


@pytest.fixture(scope="session")
def browsers() -> Iterator[BrowserType]:
    """Starts browsers. One for all tests of a process: a second one beside it is refused."""
    with sync_playwright() as playwright:
        yield playwright.chromium


@pytest.fixture(scope="session")
def chromium(browsers: BrowserType) -> Iterator[Browser]:
    """Debian's Chromium."""
    browser = browsers.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
    yield browser
    browser.close()
