"""What does each form, each route and each command say while the disk is full, and after?

The disk is a small one in memory, which only root may mount; everything that is kept lies on it:
database, photos, packs, temporary files. Every form of every page is found by following the links,
so a page that is added later is tried too.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import subprocess
import sys
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from html import unescape
from pathlib import Path

import httpx
from PIL import Image

from faults.work import Served
from truehang.job import starter
from truehang.store import Store

SAID = re.compile(r"full|No space left", re.IGNORECASE)
_WORDS = re.compile(r"<(script|style).*?</\1>|<[^>]*>", re.DOTALL)


class NotHere(RuntimeError):
    """No small disk can be had here."""


@contextmanager
def small_disk(folder: Path, megabytes: int = 64) -> Iterator[Path]:
    """A disk of its own. Raises NotHere."""
    folder.mkdir(parents=True)
    mount = ["mount", "-t", "tmpfs", "-o", f"size={megabytes}m", "none", str(folder)]
    try:
        subprocess.run(mount, check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        raise NotHere("only root may mount a disk") from None
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


@contextmanager
def full(disk: Path) -> Iterator[None]:
    """No byte of room for a while."""
    filler = disk / "filler"
    with contextlib.suppress(OSError), filler.open("wb", buffering=0) as stream:
        for size in (1 << 20, 1 << 12, 1):
            with contextlib.suppress(OSError):
                while stream.write(b"\0" * size):
                    pass
    try:
        yield
    finally:
        filler.unlink()


@dataclass
class Tally:
    """How many were tried, how many said that the disk is full, and what else was seen."""

    room: bool = False
    tried: int = 0
    said: int = 0
    wrong: list[str] = field(default_factory=list)

    def heard(self, what: str, status: int, text: str, *, writes: bool) -> None:
        """An answer: on the full disk it says so, or is to something that needs no room; where
        there is room it is anything but a trouble of the server's."""
        self.tried += 1
        told = status == 503 and bool(SAID.search(text))
        done = writes and status < 400 and status != 204
        self.said += told != self.room
        if (self.room and status >= 500) or (
            not self.room and not told and (status >= 500 or done)
        ):
            self.wrong.append(f"{what}: {status} {text[:80]!r}")


# ---------------------------------------------------------------- the app


def forms_of(client: httpx.Client, job: str) -> dict[str, dict[str, str]]:
    """Every form that posts, by where it posts to, with its fields as a browser sends them."""
    found: dict[str, dict[str, str]] = {}
    seen, ahead = set[str](), ["/", f"/jobs/{job}", "/jobs/new", "/devices"]
    while ahead:
        path = ahead.pop()
        if path in seen or len(seen) > 150:
            continue
        seen.add(path)
        answer = client.get(path, headers={"Accept": "text/html"}, follow_redirects=True)
        if "html" not in answer.headers.get("content-type", ""):
            continue
        for action, inside in re.findall(
            r'<form[^>]*method="post"[^>]*action="([^"]+)"[^>]*>(.*?)</form>',
            answer.text,
            re.DOTALL,
        ):
            found.setdefault(unescape(action), _fields(inside))
        links = re.findall(r'href="(/[^"#]*)"', answer.text)
        ahead += [unescape(link) for link in links if job in link or link == "/devices"]
    return found


def _fields(form: str) -> dict[str, str]:
    told = {}
    for tag in re.findall(r"<input[^>]*>", form):
        about = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if "name" in about and about.get("type") not in ("file", "radio", "checkbox"):
            told[about["name"]] = unescape(about.get("value", ""))
    for name, inside in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'value="([^"]*)" selected', inside)
        told[name] = unescape(chosen[1]) if chosen else ""
    return told


def asked(client: httpx.Client, job: str, forms: dict[str, dict[str, str]], tally: Tally) -> None:
    """Send every form, upload and write of the API."""
    token = client.get("/api/session").json()["csrf"]
    for action, fields in forms.items():
        sent = fields | {"csrf": token, "op": uuid.uuid4().hex}
        answer = client.post(action, data=sent, headers={"Accept": "text/html"})
        writes = "/live" not in action and "/pair" not in action
        tally.heard(action, answer.status_code, _WORDS.sub(" ", answer.text), writes=writes)
    head = {"X-CSRF-Token": token}
    photo = {"photo": ("p.jpg", _picture(), "image/jpeg")}
    api = f"/api/jobs/{job}"
    op = uuid.uuid4().hex
    writes: list[tuple[str, str, dict[str, object]]] = [
        ("POST", "/api/jobs", {"json": {"text": starter()}}),
        ("PUT", api, {"json": {"base": 1, "document": client.get(api).json()["document"]}}),
        ("PATCH", api, {"json": {"base": 1, "path": ["job", "title"], "value": "t"}}),
        ("POST", f"{api}/undo", {"json": {"op": op}}),
        ("POST", f"{api}/entries", {"json": {"kind": "check", "key": "k", "value": 1}}),
        ("POST", f"{api}/photos", {"files": photo, "data": {"op": op}}),
        ("POST", f"/jobs/{job}/photos", {"files": photo, "data": {"csrf": token, "op": op + "2"}}),
        ("POST", f"{api}/pack", {"json": {}}),
    ]
    for method, path, body in writes:
        answer = client.request(method, path, headers=head, **body)  # type: ignore[arg-type]
        tally.heard(f"{method} {path}", answer.status_code, answer.text, writes=True)


def _picture() -> bytes:
    out = io.BytesIO()
    Image.frombytes("RGB", (900, 900), os.urandom(900 * 900 * 3)).save(out, "JPEG", quality=95)
    return out.getvalue()  # over a megabyte, so that it does not stay in memory on its way in


def web(disk: Path) -> tuple[Tally, Tally, int]:
    """The app on the full disk, then with room again; and how many writes got lost."""
    store = Store.open(f"sqlite:///{disk / 'jobs.db'}", disk / "files")
    from truehang.demo import files
    from truehang.job import load

    job = store.create(load(files("millrace-cottage")[0][1]), "a").job
    there, after = Tally(), Tally(room=True)
    with Served(store, disk / "made") as url, httpx.Client(base_url=url, timeout=120) as client:
        forms = forms_of(client, job)
        before = (len(store.jobs()), store.head(job).number, len(store.entries(job)))
        with full(disk):
            asked(client, job, forms, there)
            for path in ("/", f"/jobs/{job}", f"/jobs/{job}/measure", f"/jobs/{job}/history"):
                answer = client.get(path, headers={"Accept": "text/html"})
                there.heard(path, answer.status_code, answer.text, writes=False)
        lost = (len(store.jobs()), store.head(job).number, len(store.entries(job))) != before
        asked(client, job, forms, after)
    store.engine.dispose()
    return there, after, int(lost)


# ---------------------------------------------------------------- the commands


def commands(disk: Path, source: Path) -> tuple[Tally, Tally]:
    """Every command that writes, on the full disk and with room again."""
    job = source / "job.yaml"
    job.write_text(starter(), encoding="utf-8")
    place = ["--database", f"sqlite:///{disk / 'own.db'}", "--files", str(disk / "own")]
    saved = source / "saved.zip"
    Store.open(place[1], disk / "own").engine.dispose()
    _run("backup", str(saved), *place)
    rack = str(disk / "rack.yaml")
    _run("rack", "put", rack, "MGP10 45x90", "1800", "2400")
    empty = ["--database", f"sqlite:///{disk / 'empty.db'}", "--files", str(disk / "empty")]
    tried = [
        ["new", str(disk / "new.yaml")],
        ["pack", str(job), "-o", str(disk / "pack")],
        ["model", str(job), "-o", str(disk / "wall.glb")],
        ["demo", "fernhollow", "-o", str(disk / "demo")],
        ["backup", str(disk / "all.zip"), *place],
        ["restore", str(saved), *empty],
        ["rack", "put", rack, "MGP10 45x90", "900"],
        ["rack", "take", rack, "R1"],
        ["devices", "--new", *place],
    ]
    there, after = Tally(), Tally()
    with full(disk):
        for words in tried:
            _told(there, words, 4)
    for words in tried:
        _told(after, words, 0)
    return there, after


def _told(tally: Tally, words: list[str], code: int) -> None:
    status, said = _run(*words)
    name, lines = " ".join(words[:2]), said.strip().splitlines()
    tally.tried += 1
    if code == 0:
        tally.said += status in (0, 1)  # 1: what stands in the way is told, and the files are there
        tally.wrong += [] if status in (0, 1) else [f"{name}: {status} {lines[-1:]}"]
    elif status == code and [line for line in lines if SAID.search(line)] == lines[-1:]:
        # What stands in the way of the job may be told first; the trouble is one line, the last.
        tally.said += 1
    else:
        tally.wrong.append(f"{name}: {status} {lines[-2:]}")


def _run(*words: str) -> tuple[int, str]:
    """A command as a user starts it: its exit code and what it said of trouble."""
    done = subprocess.run(
        [sys.executable, "-m", "truehang.cli", *words], capture_output=True, text=True, check=False,
        env={**os.environ, "TMPDIR": tempfile.gettempdir()},
    )  # fmt: skip
    return done.returncode, done.stderr
