"""Is a pack all old or all new, whenever the one that writes it is killed?"""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path

from truehang.pack.files import MANIFEST, manifest, replace_all

NAMES = (
    "site.pdf", "office.pdf", "care.pdf", "rod-strip.pdf", "takeoff-and-rod.xlsx", "model.glb",
    *(f"drawings/{name}.{kind}" for name in ("a", "b", "c", "d", "e") for kind in ("svg", "dxf")),
)  # fmt: skip


def pack(mark: str, names: tuple[str, ...]) -> dict[str, bytes]:
    """A pack with something of its own in every file."""
    files = {name: f"{mark} {name} ".encode() * 200 for name in names}
    files[MANIFEST] = manifest(files, {"job": mark})
    return files


def killed(folder: Path, rounds: int) -> tuple[int, int, int, int]:
    """Kill a writer that puts one pack in the place of another, at any moment: how often the old
    one stood afterwards, how often the new one, how often neither, and what was left lying."""
    one, other = pack("one", NAMES), pack("other", (*NAMES[2:], "more/of-it.txt"))
    where = folder / "pack"
    replace_all(one, where)
    (where / "drawings/own.txt").write_bytes(b"mine")
    own = {"drawings/own.txt": b"mine"}
    choose, counts, left = random.Random(1), [0, 0, 0], 0
    there = one
    begun = time.monotonic()
    replace_all(one, where)
    takes = time.monotonic() - begun
    for _ in range(rounds):
        following = other if there == one else one
        child = os.fork()
        if child == 0:
            replace_all(following, where)
            os.kill(os.getpid(), signal.SIGSTOP)  # done; it is killed all the same
        time.sleep(choose.uniform(0.0, 1.3 * takes))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        now = _tree(where)
        stands = 0 if now == there | own else 1 if now == following | own else 2
        counts[stands] += 1
        if stands:
            there = following
        begun = time.monotonic()
        replace_all(there, where)
        takes = 0.8 * takes + 0.2 * (time.monotonic() - begun)  # the disk has others to serve
        left += len(list(folder.glob(".*"))) + len(list(where.rglob(".*")))
    return counts[0], counts[1], counts[2], left


def _tree(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }
