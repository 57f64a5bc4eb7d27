"""People at work on a server that may break, and an account of what became of what they sent.

Each person sends one write after another by the API, entries, new titles and new jobs, and each
write, under one name, until it is acknowledged: as a phone does that was out of signal.
"""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import threading
import time
import uuid
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import uvicorn

from truehang.job import load, starter
from truehang.store import Store
from truehang.web.app import create_app
from truehang.web.settings import Settings


@dataclass
class Server:
    """A server as a user starts it; killed and started again at the same address."""

    database: str
    files: Path
    port: int = 0
    process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Back when it answers."""
        if not self.port:
            with socket.socket() as probe:
                probe.bind(("127.0.0.1", 0))
                self.port = probe.getsockname()[1]
        command = [
            sys.executable, "-m", "truehang.cli", "serve", "--no-pairing", "--port",
            str(self.port), "--database", self.database, "--files", str(self.files),
        ]  # fmt: skip
        with open(os.devnull, "w") as nothing:
            self.process = subprocess.Popen(command, stdout=nothing, stderr=nothing)
        until = time.monotonic() + 120
        while time.monotonic() < until:
            try:
                httpx.get(f"{self.url}/api/session")
                return
            except httpx.TransportError:
                time.sleep(0.05)
        raise RuntimeError("the server does not answer")

    def kill(self) -> None:
        """At once, in the midst of whatever it does."""
        assert self.process is not None
        self.process.kill()
        self.process.wait()

    @property
    def url(self) -> str:
        """Its address."""
        return f"http://127.0.0.1:{self.port}"


class Served:
    """An app served from a thread, for whoever asks: back when it answers."""

    def __init__(self, store: Store, made: Path) -> None:
        settings = Settings(made=made, pairing=False)
        config = uvicorn.Config(create_app(store, settings), port=0, log_level="error")
        self._listening = socket.socket()
        self._listening.bind(("127.0.0.1", 0))
        self._server = uvicorn.Server(config)
        sockets = {"sockets": [self._listening]}
        self._thread = threading.Thread(target=self._server.run, kwargs=sockets, daemon=True)

    def __enter__(self) -> str:
        self._thread.start()
        while not self._server.started:
            time.sleep(0.01)
        return f"http://127.0.0.1:{self._listening.getsockname()[1]}"

    def __exit__(self, *_told: object) -> None:
        self._server.should_exit = True
        self._thread.join(30)


@dataclass
class Account:
    """What was sent, by its name: what was acknowledged, and how often it had to be sent."""

    acknowledged: dict[str, str] = field(default_factory=dict)
    open: dict[str, str] = field(default_factory=dict)
    sent: int = 0
    answers: Counter[str] = field(default_factory=Counter)


class Person(threading.Thread):
    """Sends one write after another until told to stop."""

    def __init__(self, url: str, job: str, account: Account, stop: threading.Event) -> None:
        super().__init__(daemon=True)
        self.url, self.job, self.account, self.stop = url, job, account, stop
        self.token = ""

    def run(self) -> None:
        number = 0
        with httpx.Client(base_url=self.url, timeout=20) as client:
            while not self.stop.is_set():
                kind = ("entry", "title", "entry", "job")[number % 4]
                self._until_acknowledged(client, kind, uuid.uuid4().hex)
                number += 1

    def _until_acknowledged(self, client: httpx.Client, kind: str, op: str) -> None:
        self.account.open[op] = kind
        while True:
            try:
                answer = self._send(client, kind, op)
                self.account.answers[str(answer.status_code)] += 1
                if answer.status_code < 300:
                    self.account.acknowledged[op] = kind
                    del self.account.open[op]
                    return
                if answer.status_code == 403:
                    self.token = ""  # a new server signs its own
            except httpx.TransportError as broken:
                self.account.answers[type(broken).__name__] += 1
            if self.stop.is_set():
                return  # neither acknowledged nor given up: it may be there or not
            time.sleep(0.1)

    def _send(self, client: httpx.Client, kind: str, op: str) -> httpx.Response:
        if not self.token:
            told = client.get("/api/session")
            if told.status_code != 200:
                return told
            self.token = told.json()["csrf"]
        self.account.sent += 1
        headers = {"X-CSRF-Token": self.token}
        if kind == "job":
            text = starter().replace("name: my-job", f"name: j{op[:20]}")
            return client.post("/api/jobs", json={"text": text, "op": op}, headers=headers)
        if kind == "entry":
            entry = {"kind": "check", "key": "fault", "value": op, "op": op}
            return client.post(f"/api/jobs/{self.job}/entries", json=entry, headers=headers)
        change = {"base": 1, "path": ["job", "title"], "value": f"T {op}", "op": op}
        return client.patch(f"/api/jobs/{self.job}", json=change, headers=headers)


@dataclass
class Work:
    """People at work, and the account of all of them."""

    account: Account
    stop: threading.Event
    people: list[Person]

    def ended(self) -> Account:
        """The account, once they have stopped."""
        self.stop.set()
        for person in self.people:
            person.join(60)
        return self.account


def at_work(url: str, job: str, count: int) -> Work:
    """People who have begun to work."""
    account, stop = Account(), threading.Event()
    people = [Person(url, job, account, stop) for _ in range(count)]
    for person in people:
        person.start()
    return Work(account, stop, people)


def settled(store: Store, job: str, account: Account) -> tuple[int, int]:
    """How many writes that were acknowledged are gone, and how many are there twice."""
    entries = Counter(str(row.value) for row in store.entries(job, "check"))
    titles = Counter(row.document["job"]["title"][2:] for row in store.history(job))
    waiting = Counter(str(row.mine)[2:] for row in store.conflicts(job))
    jobs = Counter(row.name[1:] for row in store.jobs())
    lost = twice = 0
    for op, kind in account.acknowledged.items():
        if kind == "title":  # it stands in a revision, or waits beside another's
            there = min(titles[op], 1) + waiting[op]
        else:
            there = entries[op] if kind == "entry" else jobs[op[:20]]
        lost += there == 0
        twice += there > 1
    return lost, twice


def fresh(database: str, files: Path) -> tuple[Store, str]:
    """A store with one job."""
    store = Store.open(database, files)
    return store, store.create(load(starter()), "faults").job
