"""The planning process: the same plans as here, and neither lost nor left behind by a kill."""

from __future__ import annotations

import html
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from threading import Event
from typing import Any

import httpx
import psutil
import pytest

from truehang import catalogue, demo
from truehang.job import Job, load, starter
from truehang.plain import to_json
from truehang.plan import Plan, plan
from truehang.plan.standing import told
from truehang.store import Store
from truehang.store.store import document_of
from truehang.web.planning import PlanningProcess
from truehang.web.plans import Plans


@pytest.fixture(scope="module")
def planner() -> Iterator[PlanningProcess]:
    process = PlanningProcess(catalogue.load())
    yield process
    process.close()


def _beside(process: psutil.Process) -> set[psutil.Process]:
    """The planning processes of a process and of its workers."""
    family = process.children(recursive=True)
    return {each for each in family if "spawn_main" in " ".join(each.cmdline())}


def _wait_for(process: psutil.Process, known: set[psutil.Process]) -> psutil.Process:
    """A planning process that was not there before."""
    until = time.monotonic() + 60
    while time.monotonic() < until:
        if fresh := _beside(process) - known:
            return fresh.pop()
        time.sleep(0.05)
    raise AssertionError("no planning process")


@pytest.mark.parametrize("name", ["fernhollow", "quarry-house"])
def test_a_plan_made_beside_is_the_plan_made_here(planner: PlanningProcess, name: str) -> None:
    job = load(next(iter(demo.files(name)))[1])
    beside, here = planner(document_of(job)), plan(job, catalogue.load())
    assert type(beside) is Plan
    assert beside.job == here.job
    last = list(here.figures)[-1]
    assert beside.figures.chain(last) == here.figures.chain(last)
    assert to_json(beside) == to_json(here)


def test_a_job_that_nothing_fits_is_planned_beside_too(planner: PlanningProcess) -> None:
    job = load(starter())
    bare = job.model_copy(update={"measure": job.measure.model_copy(update={"readings": ()})})
    assert to_json(planner(document_of(bare))) == to_json(plan(bare, catalogue.load()))


def test_a_killed_planning_process_loses_no_plan() -> None:
    here = psutil.Process()
    others = _beside(here)
    planner, document = PlanningProcess(catalogue.load()), document_of(load(starter()))
    try:
        first = planner(document)
        killed = _wait_for(here, others)
        killed.kill()
        killed.wait(10)
        assert to_json(planner(document)) == to_json(first)  # made here
        assert to_json(planner(document)) == to_json(first)  # made in a new process
        assert _wait_for(here, others).pid != killed.pid
    finally:
        planner.close()
    assert _beside(here) == others


@pytest.fixture
def serving(tmp_path: Path, new_url: Any) -> Iterator[tuple[subprocess.Popen[bytes], httpx.Client]]:
    """A server as a user starts it, and a browser at it."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [
        sys.executable, "-m", "truehang.cli", "serve", "--no-pairing", "--port", str(port),
        "--database", new_url(), "--files", str(tmp_path / "files"),
    ]  # fmt: skip
    url, until = f"http://127.0.0.1:{port}", time.monotonic() + 60
    with (
        subprocess.Popen(command, stdout=subprocess.DEVNULL) as server,
        httpx.Client(base_url=url, timeout=30) as browser,
    ):
        while time.monotonic() < until:
            try:
                browser.headers["X-CSRF-Token"] = browser.get("/api/session").json()["csrf"]
                break
            except httpx.TransportError:
                time.sleep(0.1)
        yield server, browser
        server.terminate()


def test_a_server_plans_beside_itself_and_a_kill_ends_both(
    serving: tuple[subprocess.Popen[bytes], httpx.Client],
) -> None:
    server, browser = serving
    beside = _wait_for(psutil.Process(server.pid), set())
    text = next(iter(demo.files("fernhollow")))[1]
    job = browser.post("/api/jobs", json={"text": text}).json()["job"]
    page = browser.get(f"/jobs/{job}/choose?every=yes").text
    other = html.unescape(re.findall('name="key" value="([^"]+)"', page)[-1])
    taken = browser.post(f"/jobs/{job}/choose", data={"key": other})
    assert taken.status_code == 303, taken.text
    document = browser.get(f"/api/jobs/{job}").json()["document"]
    here = plan(Job.model_validate(document), catalogue.load())
    assert here.weighed[0].option.key == other
    assert browser.get(f"/api/jobs/{job}/plan").json() == json.loads(
        to_json(told(here.standing, here))
    )
    os.kill(server.pid, signal.SIGKILL)
    assert psutil.wait_procs([beside], timeout=30)[1] == []


def no_room(plan: Plan, _rooms: tuple[str, ...]) -> Plan:
    return plan


def test_a_plan_is_made_ahead_once_and_is_there_when_asked_for(tmp_path: Path) -> None:
    made, asked, store = list[Plan](), Event(), Store.open("sqlite://", tmp_path)

    def make(document: Mapping[str, Any]) -> Plan:
        made.append(plan(load(starter()), catalogue.load()))
        asked.set()
        return made[-1]

    revision = store.create(load(starter()), "office")
    ahead, behind = Plans(make, no_room, ahead=True), Plans(make, no_room)
    ahead.begin(revision)
    assert asked.wait(30)
    assert ahead.of(revision) is made[0]
    ahead.close()
    assert len(made) == 1
    behind.begin(revision)
    behind.close()
    assert len(made) == 1  # where plans are made in place nothing is made that nobody asked for
