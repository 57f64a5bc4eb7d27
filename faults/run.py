"""`make faults`: breaks things in the midst of work, and counts what was lost or done twice.

`python -m faults.run [--rounds N] [--away SECONDS ...] [--copies N] [--kills N] [TRIAL ...]`. Each
line tells one trial on one database; the aim of every one of them is that nothing that was
acknowledged is lost and nothing is done twice.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import create_engine, event, text

from faults.disk import NotHere, commands, small_disk, web
from faults.packs import killed
from faults.postgres import Postgres, own_postgres
from faults.work import Server, Work, at_work, fresh, settled
from truehang.job import load, starter
from truehang.store import Away, DatabaseError, Refused, Store, change_rack, document_of

PEOPLE = 4


def kills(database: str, files: Path, rounds: int) -> str:
    """The server is killed at any moment, again and again."""
    store, job = fresh(database, files)
    server = Server(database, files)
    server.start()
    work = at_work(server.url, job, PEOPLE)
    choose = random.Random(1)
    for _ in range(rounds):
        before, until = len(work.account.acknowledged), time.monotonic() + 30
        while len(work.account.acknowledged) < before + 5 and time.monotonic() < until:
            time.sleep(0.02)
        time.sleep(choose.uniform(0.0, 0.5))
        server.kill()
        server.start()
    return _end(store, job, server, work, f"server killed {rounds} times")


def away(database: str, files: Path, seconds: float, server_of: Postgres) -> str:
    """The database's server is switched off for a while, in the midst of work."""
    store, job = fresh(database, files)
    server = Server(database, files)
    server.start()
    work = at_work(server.url, job, PEOPLE)
    time.sleep(3)
    before = len(work.account.acknowledged)
    server_of.stop()
    time.sleep(seconds)
    server_of.start()
    until = time.monotonic() + 60
    while len(work.account.acknowledged) < before + 20 and time.monotonic() < until:
        time.sleep(0.1)
    return _end(store, job, server, work, f"database away {seconds:g} s")


def _end(store: Store, job: str, server: Server, work: Work, what: str) -> str:
    account = work.ended()
    server.kill()
    lost, twice = settled(store, job, account)
    answers = ", ".join(f"{n} x {code}" for code, n in sorted(account.answers.items()))
    store.engine.dispose()
    count = len(account.acknowledged)
    return _told(f"{what}: {count} acknowledged of {account.sent} sent ({answers})", lost, twice)


def _told(what: str, lost: int, twice: int) -> str:
    verdict = "well" if lost == twice == 0 else "WRONG"
    return f"{what}; {lost} lost, {twice} done twice: {verdict}"


def copies(database: str, files: Path, count: int) -> str:
    """Many copies of one operation of each kind, sixteen at a time."""
    store, job = fresh(database, files)
    base = store.head(job)
    ops = {name: uuid.uuid4().hex for name in ("create", "save", "record", "undo", "sign", "rack")}
    document = document_of(base.model())
    changed = {**document, "job": {**document["job"], "title": "changed"}}
    writes: dict[str, Callable[[], object]] = {
        "create": lambda: store.create(load(starter()), "a", ops["create"]),
        "save": lambda: store.save(job, 1, changed, "a", "title", ops["save"]),
        "record": lambda: store.record(job, "check", "k", 1, True, "a", ops["record"]),
        "undo": lambda: store.undo(job, "a", ops["undo"]),
        "sign": lambda: store.sign(
            store.revision(job, 3), changed, "sizes", 1, "a", "sign", ops["sign"]
        ),
        "rack": lambda: change_rack(store, lambda r: r.put([("pine", 1000.0)]), None, ops["rack"]),
    }
    several = []
    with ThreadPoolExecutor(16) as pool:
        for name, write in writes.items():
            results = [repr(each) for each in pool.map(lambda _, w=write: w(), range(count))]  # type: ignore[misc]
            several += [name] * (len(set(results)) - 1)
    there = (len(store.jobs()), store.head(job).number, len(store.entries(job)))
    twice = len(several) + (there != (2, 4, 2))
    store.engine.dispose()
    return _told(f"{count} copies of each of {len(writes)} operations", 0, twice)


def nul(database: str, files: Path) -> str:
    """A NUL, or half a character, in every text that is kept."""
    store, job = fresh(database, files)
    document = document_of(store.head(job).model())
    changed = {**document, "job": {**document["job"], "title": "changed"}}
    tried = wrong = 0
    for bad in ("a\0b", "a\ud800b"):
        for write in (
            lambda: store.save(job, 1, changed, bad, "t"),  # noqa: B023
            lambda: store.record(job, bad, "k", 1, True, "a"),  # noqa: B023
            lambda: store.record(job, "check", bad, 1, True, "a"),  # noqa: B023
            lambda: store.record(job, "check", "k", 1, True, bad),  # noqa: B023
            lambda: store.record(job, "check", "k", 1, True, "a", bad),  # noqa: B023
            lambda: store.issue(job, 1, {bad: b"x"}, "a"),  # noqa: B023
            lambda: change_rack(store, lambda r: r.put([(bad, 1000.0)])),  # noqa: B023
        ):
            tried += 1
            try:
                write()
            except (Refused, ValueError):
                continue
            wrong += 1
    wrong += store.entries(job) != () or store.issued(job) != ()
    store.engine.dispose()
    return _told(f"NUL and half a character in {tried} texts", 0, wrong)


def full(database: str, files: Path, rounds: int) -> str:
    """The disk under SQLite is full, at a different place each time."""
    store, job = fresh(database, files)
    store.engine.dispose()
    kept: list[str] = []
    room = [0]

    @event.listens_for(store.engine, "connect")
    def limited(connection, _record) -> None:  # type: ignore[no-untyped-def]
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages + room[0]}")

    for number in range(rounds):
        room[0] = number % 7
        store.engine.dispose()
        for _ in range(100):
            op = uuid.uuid4().hex
            try:
                store.record(job, "check", "k" * 100, "v" * 2000, True, "a", op)
                kept.append(op)
            except Away:
                break
    there = {row.op for row in store.entries(job)}
    store.engine.dispose()
    return _told(
        f"disk full {rounds} times, {len(kept)} acknowledged", len(set(kept) - there),
        len(there - set(kept)),
    )  # fmt: skip


def packs(files: Path, rounds: int) -> str:
    """Who writes a pack over an older one is killed at any moment."""
    files.mkdir(parents=True, exist_ok=True)
    old, new, mixed, left = killed(files, rounds)
    what = f"pack killed {rounds} times in the writing: {old} old, {new} new, {mixed} mixed"
    return _told(f"{what}, {left} files left over", mixed + left, 0)


def disk(folder: Path) -> list[str]:
    """The disk under everything is full: every form, route and command."""
    try:
        with small_disk(folder / "small") as small, tempfile.TemporaryDirectory() as source:
            (small / "tmp").mkdir()
            tempfile.tempdir = str(small / "tmp")
            there, after, lost = web(small)
            done, again = commands(small, Path(source))
    except NotHere as told:
        return [f"full disk: not tried ({told})"]
    finally:
        tempfile.tempdir = None
    lines = []
    for what, tally, more in (
        ("forms and routes on a full disk", there, lost), ("with room again", after, 0),
        ("commands on a full disk", done, 0), ("with room again", again, 0),
    ):  # fmt: skip
        for wrong in tally.wrong:
            print(f"    {wrong}", flush=True)
        lines.append(
            _told(f"{what}: {tally.tried} tried, {tally.said} said so", more, len(tally.wrong))
        )
    return lines


def newer(database: str, files: Path) -> str:
    """A database of a program version to come is refused, and left as it is."""
    store, _ = fresh(database, files)
    with store.engine.begin() as db:
        db.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store.engine.dispose()
    try:
        Store.open(database, files)
    except DatabaseError as told:
        return _told(f"a newer database ({told})", 0, 0)
    return _told("a newer database was opened", 1, 0)


@contextmanager
def databases() -> Iterator[tuple[dict[str, Callable[[], str]], Postgres]]:
    """Makes fresh databases of each kind, and the server that some of them are on."""
    with tempfile.TemporaryDirectory() as folder, own_postgres(hard=True) as server:
        admin = create_engine(
            server.url.replace("postgresql:", "postgresql+psycopg:") + "/postgres",
            isolation_level="AUTOCOMMIT",
            pool_pre_ping=True,
        )

        def made() -> str:
            name = f"t{uuid.uuid4().hex}"
            with admin.connect() as db:
                db.execute(text(f"CREATE DATABASE {name}"))
            return f"{server.url}/{name}"

        yield (
            {
                "sqlite": lambda: f"sqlite:///{folder}/{uuid.uuid4().hex}.db",
                "postgresql": made,
            },
            server,
        )


def main() -> int:
    """Run the trials that were asked for, or all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=8)
    parser.add_argument("--away", type=float, nargs="*", default=[1, 10])
    parser.add_argument("--copies", type=int, default=1000)
    parser.add_argument("--kills", type=int, default=300, help="of a pack that is written")
    parser.add_argument("trials", nargs="*")
    given = parser.parse_args()
    lines = []
    with databases() as (kinds, server), tempfile.TemporaryDirectory() as folder:
        files = Path(folder)
        trials: dict[str, Callable[[str, str], list[str]]] = {
            "kills": lambda kind, url: [kills(url, files / "k", given.rounds)],
            "copies": lambda kind, url: [copies(url, files / "c", given.copies)],
            "nul": lambda kind, url: [nul(url, files / "n")],
            "newer": lambda kind, url: [newer(url, files / "o")],
            "full": lambda kind, url: (
                [full(url, files / "f", given.rounds)] if kind == "sqlite" else []
            ),
            "packs": lambda kind, url: (
                [packs(files / "p", given.kills)] if kind == "sqlite" else []
            ),
            "disk": lambda kind, url: disk(files / "d") if kind == "sqlite" else [],
            "away": lambda kind, url: [
                away(kinds[kind](), files / f"a{s:g}", s, server)
                for s in (given.away if kind == "postgresql" else [])
            ],
        }
        for name in given.trials or trials:
            for kind, fresh_url in kinds.items():
                for line in trials[name](kind, fresh_url()):
                    print(f"{kind}: {line}", flush=True)
                    lines.append(line)
    return 1 if any(line.endswith("WRONG") for line in lines) else 0


if __name__ == "__main__":
    sys.exit(main())
