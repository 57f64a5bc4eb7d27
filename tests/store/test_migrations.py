"""The migrations make what the code expects, and can be undone, with what is in the tables kept."""

from __future__ import annotations

from collections.abc import Callable
from importlib import resources
from pathlib import Path
from typing import Any

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import inspect

from truehang.cutting import Rack
from truehang.job import Job
from truehang.store import Store, change_rack, rack
from truehang.store.database import open_engine, writing
from truehang.store.tables import metadata


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(resources.files("truehang.store") / "migrations"))
    return config


def _run(url: str, what: Callable[[Config], Any]) -> None:
    engine = open_engine(url)
    config = _config()
    with writing(engine, of_this_shape=False) as connection:
        config.attributes["connection"] = connection
        what(config)
    engine.dispose()


def test_the_migrations_make_the_tables_that_the_code_expects(
    new_url: Callable[..., str], tmp_path: Path
) -> None:
    store = Store.open(new_url(bare=True), tmp_path / "files")
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
    store.engine.dispose()


def test_down_to_nothing_and_up_again(
    new_url: Callable[..., str], tmp_path: Path, job: Job
) -> None:
    url = new_url(bare=True)
    Store.open(url, tmp_path / "files").engine.dispose()
    _run(url, lambda config: command.downgrade(config, "base"))
    engine = open_engine(url)
    assert set(inspect(engine).get_table_names()) <= {"alembic_version"}
    engine.dispose()
    _run(url, lambda config: command.upgrade(config, "head"))
    store = Store.open(url, tmp_path / "files")
    assert store.head(store.create(job, "office").job).number == 1
    store.engine.dispose()


def test_every_step_up_keeps_what_is_there(
    new_url: Callable[..., str], tmp_path: Path, job: Job
) -> None:
    url = new_url(bare=True)
    store = Store.open(url, tmp_path / "files")
    kept = store.create(job, "office")
    store.engine.dispose()
    steps = list(ScriptDirectory.from_config(_config()).walk_revisions())
    assert steps[-1].down_revision is None
    for step in steps[:-1]:  # newest first; the first tables have nothing below them
        _run(url, lambda config, to=step.down_revision: command.downgrade(config, to))  # type: ignore[misc]
    again = Store.open(url, tmp_path / "files")
    assert again.head(kept.job) == kept
    again.engine.dispose()


def test_a_store_from_before_the_rack_gets_an_empty_one(
    new_url: Callable[..., str], tmp_path: Path, job: Job
) -> None:
    url = new_url(bare=True)
    store = Store.open(url, tmp_path / "files")
    kept = store.create(job, "office")
    change_rack(store, lambda r: r.put([("pine", 1200.0)]))
    store.engine.dispose()
    _run(url, lambda config: command.downgrade(config, "0001"))
    again = Store.open(url, tmp_path / "files")
    assert rack(again) == Rack()
    assert again.head(kept.job) == kept
    again.engine.dispose()


def test_a_store_with_papers_from_before_names_of_writes_were_kept_goes_on(
    new_url: Callable[..., str], tmp_path: Path, job: Job
) -> None:
    url = new_url(bare=True)
    store = Store.open(url, tmp_path / "files")
    kept = store.create(job, "office", op="make")
    issued = store.issue(kept.job, 1, {"pack.pdf": b"one"}, "office")
    entry = store.record(kept.job, "check", "k", 1, True, "office", op="e")
    store.engine.dispose()
    _run(url, lambda config: command.downgrade(config, "0002"))
    again = Store.open(url, tmp_path / "files")
    assert again.issued(kept.job) == issued
    assert again.create(job, "office", op="make") == kept
    assert again.record(kept.job, "check", "k", 2, True, "office", op="e") == entry
    # And papers that a column was too narrow for can be issued.
    assert len(again.issue(kept.job, 1, {"list.xlsx": b"x"}, "office")) == 2
    again.engine.dispose()
