"""How does the store bear ten years of jobs? `python -m benchmarks.years [JOBS] [REVISIONS]`.

Fills a store with JOBS jobs of REVISIONS revisions each (10,000 and 20 where none are given), in
SQLite and in PostgreSQL, and times what pages ask; then a backup and bringing it back, with the
most memory that each took.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from pathlib import Path

from faults.postgres import own_postgres
from sqlalchemy import create_engine, func, insert, select, text

from truehang.demo import files
from truehang.job import load
from truehang.store import Store
from truehang.store import tables as t
from truehang.store.seeking import sought

_ONE = """
import resource, sys
from pathlib import Path
from truehang import store as s
made = s.Store.open(sys.argv[2], Path(sys.argv[3]))
getattr(s, sys.argv[1])(made, Path(sys.argv[4]))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


def fill(store: Store, jobs: int, revisions: int) -> str:
    """Copies of one job, with other titles and times; the id of one in the midst."""
    first = store.create(load(next(iter(files("fernhollow")))[1]), "bench")
    with store.engine.begin() as db:
        row = dict(db.execute(select(t.revisions)).mappings().one())
    for start in range(0, jobs, 100):
        ids = [uuid.uuid4().hex for _ in range(start, min(jobs, start + 100))]
        heads, rows = [], []
        for number, id in enumerate(ids, start):
            at = f"20{16 + 10 * number // jobs:02d}-03-02T09:00:00.{number % 1000:03d}+00:00"
            title = f"Door {number}"
            heads.append({"id": id, "name": f"d{number}", "title": title, "head": revisions,
                          "created": at, "changed": at,
                          "sought": sought(f"d{number}", title)})  # fmt: skip
            rows += [{**row, "job": id, "number": n + 1, "op": f"{n}", "at": at}
                     for n in range(revisions)]  # fmt: skip
        with store.engine.begin() as db:
            db.execute(insert(t.jobs), heads)
            db.execute(insert(t.revisions), rows)
    with store.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as db:
        db.exec_driver_sql("ANALYZE")
        assert db.scalar(select(func.count()).select_from(t.revisions)) == jobs * revisions + 1
    return first.job


def ms(work: Callable[[], object], times: int = 9) -> str:
    """The median of some runs."""
    took = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        took.append(time.perf_counter() - began)
    return f"{1000 * sorted(took)[times // 2]:.1f} ms"


def years(url: str, other: str, folder: Path, jobs: int, revisions: int) -> None:
    """One database."""
    store = Store.open(url, folder / "files")
    job = fill(store, jobs, revisions)
    model = store.head(job).model()
    middle = store.jobs(most=jobs // 2)[-1]
    print(f"  first page of the list   {ms(lambda: store.jobs(most=51))}")
    print(f"  a page in the middle     {ms(lambda: store.jobs(after=middle.place, most=51))}")
    print(f"  search, one found        {ms(lambda: store.jobs(f'door {jobs - 7}', most=51))}")
    print(f"  search, none found       {ms(lambda: store.jobs('window', most=51))}")
    print(f"  a page of history        {ms(lambda: store.past(middle.id, most=50))}")
    print(f"  newest revision of a job {ms(lambda: store.head(middle.id))}")
    print(f"  new job                  {ms(lambda: store.create(model, 'bench'))}")
    store.engine.dispose()
    kept = folder / "all.zip"
    for what, place in (("backup", url), ("restore", other)):
        began = time.perf_counter()
        command = [sys.executable, "-c", _ONE, what, place, str(folder / what), str(kept)]
        memory = subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip()
        size = kept.stat().st_size / 1e6
        print(
            f"  {what:8} {time.perf_counter() - began:6.1f} s, at most {memory} MB ({size:.0f} MB)"
        )


def main(jobs: int, revisions: int) -> None:
    """Both databases."""
    print(f"{jobs} jobs, {jobs * revisions} revisions")
    with tempfile.TemporaryDirectory() as name, own_postgres() as server:
        folder = Path(name)
        print("SQLite")
        years(f"sqlite:///{folder}/a.db", f"sqlite:///{folder}/b.db", folder, jobs, revisions)
        admin = create_engine(
            server.url.replace("postgresql:", "postgresql+psycopg:") + "/postgres",
            isolation_level="AUTOCOMMIT",
        )
        with admin.connect() as db:
            for database in ("a", "b"):
                db.execute(text(f"CREATE DATABASE {database}"))
        admin.dispose()
        print("PostgreSQL")
        years(f"{server.url}/a", f"{server.url}/b", folder / "p", jobs, revisions)


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:]]
    main(*(given or [10_000, 20]))
