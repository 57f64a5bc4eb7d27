"""How long does a piece of work take, on the wall and on the processor?"""

from __future__ import annotations

import resource
import statistics
import subprocess
import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Taken:
    """Medians in milliseconds: on the wall, and on the processor, which a busy machine shares."""

    wall: float
    processor: float


def timed(work: Callable[[], object], runs: int) -> Taken:
    """Medians of `runs` runs after one to warm up."""
    work()
    walls, processors = [], []
    for _ in range(runs):
        wall, processor = time.perf_counter(), time.process_time()
        work()
        walls.append(time.perf_counter() - wall)
        processors.append(time.process_time() - processor)
    return _medians(walls, processors)


def processes(
    commands: Sequence[Sequence[str]], rounds: int, ends: Collection[int] = (0,)
) -> list[Taken]:
    """Medians of fresh processes, one command after another in turn, after one round to warm up;
    `ends` are the codes that they may end with."""
    found: list[tuple[list[float], list[float]]] = [([], []) for _ in commands]
    for turn in range(rounds + 1):
        for (walls, processors), command in zip(found, commands, strict=True):
            before, start = _children(), time.perf_counter()
            run = subprocess.run(command, stdout=subprocess.DEVNULL)
            if run.returncode not in ends:
                run.check_returncode()
            if turn:
                walls.append(time.perf_counter() - start)
                processors.append(_children() - before)
    return [_medians(walls, processors) for walls, processors in found]


def _children() -> float:
    """Processor seconds of all processes that were started here and have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _medians(walls: Sequence[float], processors: Sequence[float]) -> Taken:
    return Taken(1000 * statistics.median(walls), 1000 * statistics.median(processors))
