"""How quickly does the app answer when a whole office uses it? Loopback only.

`python benchmarks/web.py [SECONDS] [WORKERS] [THINK]`: makes 200 jobs from the demo in a fresh
store, then 20 people at once open pages, ask for plans and enter readings, THINK seconds (0.5)
apart, until the time is up. Prints the median and the 95th percentile of each kind of request,
errors, and how the server's memory goes.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from pathlib import Path

import httpx
import psutil

from truehang.demo import files
from truehang.job import load
from truehang.store import Store, new_code, pair
from truehang.web.run import Address, Place

JOBS, PEOPLE = 200, 20
THINK = 0.5  # s between a person's requests where none is given, common practice, no source
AIM = 0.300  # s, 95th percentile


class Person(threading.Thread):
    """One paired device at work until the time is up."""

    def __init__(
        self, url: str, secret: str, jobs: list[str], until: float, think: float, seed: int
    ) -> None:
        super().__init__(daemon=True)
        self.url, self.secret, self.jobs, self.until = url, secret, jobs, until
        self.think = think
        self.choose = random.Random(seed)
        self.took: dict[str, list[float]] = defaultdict(list)
        self.errors: list[str] = []

    def run(self) -> None:
        with _browser(self.url, self.secret) as client:
            token = client.get("/api/session").json()["csrf"]
            client.headers["X-CSRF-Token"] = token
            while time.monotonic() < self.until:
                self._act(client, self.choose.choice(self.jobs))
                time.sleep(self.choose.uniform(0.5, 1.5) * self.think)

    def _act(self, client: httpx.Client, job: str) -> None:
        page = {"Accept": "text/html"}
        kind = self.choose.choices(
            ("list", "job", "measure", "build", "choose", "api plan", "enter", "record"),
            (1, 2, 4, 4, 1, 1, 2, 1),
        )[0]
        if kind == "list":
            self._time(kind, client, "GET", "/", headers=page)
        elif kind in ("job", "measure", "build", "choose"):
            path = f"/jobs/{job}" + ("" if kind == "job" else f"/{kind}")
            self._time(kind, client, "GET", path, headers=page, follow_redirects=True)
        elif kind == "api plan":
            self._time(kind, client, "GET", f"/api/jobs/{job}/plan")
        elif kind == "record":
            entry = {"kind": "check", "key": "bench", "value": self.choose.random()}
            self._time(kind, client, "POST", f"/api/jobs/{job}/entries", json=entry)
        else:
            head = client.get(f"/api/jobs/{job}").json()
            reading = head["document"]["measure"]["readings"][0]
            change = {
                "base": head["number"],
                "path": ["measure", "readings", reading["id"], "value"],
                "value": reading["value"] + self.choose.choice((-0.5, 0.5)),
            }
            self._time(kind, client, "PATCH", f"/api/jobs/{job}", json=change)

    def _time(self, kind: str, client: httpx.Client, method: str, path: str, **how: object) -> None:
        began = time.perf_counter()
        try:
            answer = client.request(method, path, **how)  # type: ignore[arg-type]
        except httpx.HTTPError as broken:
            self.errors.append(f"{kind}: {broken!r}")
            return
        self.took[kind].append(time.perf_counter() - began)
        if answer.status_code >= 400:
            self.errors.append(f"{kind}: {answer.status_code} {answer.text[:120]}")


def _paired(store: Store) -> str:
    """The secret of a new device. The gate lets one address pair ten times a minute only."""
    return pair(store, new_code(store), "desk")[1]


def _browser(url: str, secret: str) -> httpx.Client:
    return httpx.Client(base_url=url, timeout=60, cookies={"truehang": secret})


def _memory(process: psutil.Process) -> float:
    """MB of the server, its workers and their planning processes."""
    family = [process, *process.children(recursive=True)]
    return sum(each.memory_info().rss for each in family) / 1e6


def main(seconds: float, workers: int, think: float) -> int:
    with tempfile.TemporaryDirectory() as folder:
        place = Place(database=f"sqlite:///{folder}/jobs.db", files=Path(folder) / "files")
        address = Address(port=8399)
        store = place.open()
        _, text = next(iter(files("fernhollow")))
        jobs = []
        for number in range(JOBS):
            job = load(text)
            about = job.job.model_copy(update={"title": f"Job {number}"})
            jobs.append(store.create(job.model_copy(update={"job": about}), "bench").job)
        command = [
            sys.executable, "-m", "truehang.cli", "serve", "--database", place.database, "--files",
            str(place.files), "--port", str(address.port), "--workers", str(workers),
        ]  # fmt: skip
        with open(os.devnull, "w") as nothing:
            server = subprocess.Popen(command, stdout=nothing)
        try:
            return _load(seconds, think, store, jobs, address.url, psutil.Process(server.pid))
        finally:
            server.terminate()
            server.wait(30)
            store.engine.dispose()


def _load(
    seconds: float, think: float, store: Store, jobs: list[str], url: str, server: psutil.Process
) -> int:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            httpx.get(f"{url}/pair")
            break
        except httpx.TransportError:
            time.sleep(0.2)
    # Every job is looked at once, as after a morning's work: the plans are made.
    with _browser(url, _paired(store)) as client:
        began = time.perf_counter()
        for job in jobs:
            client.get(f"/jobs/{job}", headers={"Accept": "text/html"})
        first = (time.perf_counter() - began) / len(jobs)
    memory = [_memory(server)]
    began = time.monotonic()
    people = [
        Person(url, _paired(store), jobs, began + seconds, think, seed) for seed in range(PEOPLE)
    ]
    for person in people:
        person.start()
    for sixth in range(1, 7):
        time.sleep(max(0.0, began + seconds * sixth / 6 - time.monotonic()))
        memory.append(_memory(server))
    for person in people:
        person.join()
    return _report(people, seconds, first, memory)


def _report(people: list[Person], seconds: float, first: float, memory: list[float]) -> int:
    took: dict[str, list[float]] = defaultdict(list)
    for person in people:
        for kind, times in person.took.items():
            took[kind] += times
    every = sorted(each for times in took.values() for each in times)
    errors = [error for person in people for error in person.errors]
    print(f"{JOBS} jobs, {PEOPLE} people, {seconds:.0f} s: {len(every)} requests")
    print(f"first look at a job (its plan is made): mean {first * 1000:.0f} ms")
    print(f"{'kind':10} {'count':>6} {'p50 ms':>7} {'p95 ms':>7}")
    for kind, times in [*sorted(took.items()), ("all", every)]:
        p95 = statistics.quantiles(times, n=20)[-1] if len(times) > 1 else times[0]
        print(f"{kind:10} {len(times):6} {statistics.median(times) * 1e3:7.0f} {p95 * 1e3:7.0f}")
    print(f"errors: {len(errors)} {errors[:3]}")
    each = ", ".join(f"{mb:.0f}" for mb in memory)
    print(f"memory of the server, before and after each sixth of the time: {each} MB")
    well = not errors and statistics.quantiles(every, n=20)[-1] < AIM
    print(f"aim (p95 under {AIM * 1000:.0f} ms, no error): {'met' if well else 'missed'}")
    return 0 if well else 1


if __name__ == "__main__":
    given = [*sys.argv[1:], "", "", ""]
    sys.exit(main(float(given[0] or 60), int(given[1] or 1), float(given[2] or THINK)))
