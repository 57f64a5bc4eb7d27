"""The planning process: the same plans as here, and neither lost nor left behind by a kill."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from threading import Event
from typing import Any

import psutil
import pytest

from truehang import catalogue, demo
from truehang.job import load, starter
from truehang.plain import to_json
from truehang.plan import Plan, plan
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


def test_the_planning_process_ends_with_a_server_that_is_killed(tmp_path: Path) -> None:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [
        sys.executable, "-m", "truehang.cli", "serve", "--port", str(port),
        "--database", f"sqlite:///{tmp_path / 'jobs.db'}", "--files", str(tmp_path / "files"),
    ]  # fmt: skip
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as server:
        beside = _wait_for(psutil.Process(server.pid), set())
        os.kill(server.pid, signal.SIGKILL)
    assert psutil.wait_procs([beside], timeout=30)[1] == []


def test_a_plan_is_made_ahead_once_and_is_there_when_asked_for(tmp_path: Path) -> None:
    made, asked, store = list[Plan](), Event(), Store.open("sqlite://", tmp_path)

    def make(document: Mapping[str, Any]) -> Plan:
        made.append(plan(load(starter()), catalogue.load()))
        asked.set()
        return made[-1]

    revision = store.create(load(starter()), "office")
    ahead, behind = Plans(make, ahead=True), Plans(make)
    ahead.begin(revision)
    assert asked.wait(30)
    assert ahead.of(revision) is made[0]
    ahead.close()
    assert len(made) == 1
    behind.begin(revision)
    behind.close()
    assert len(made) == 1  # where plans are made in place nothing is made that nobody asked for
