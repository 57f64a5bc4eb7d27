"""A job comes out of its file and goes back in unchanged, and always hashes alike."""

from __future__ import annotations

import json
from datetime import date

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang import demo, job
from truehang.job import Job
from truehang.yamltree import scalar

TEXTS = [text for name in demo.names() for _, text in demo.files(name)]


def _changed(loaded: Job, **about: object) -> Job:
    values = loaded.model_dump()
    values["job"] |= about
    return Job.model_validate(values)


@pytest.mark.parametrize("text", [job.starter(), TEXTS[0], TEXTS[1], TEXTS[-1]])
def test_dump_and_load_give_the_same_job_and_the_same_text(text: str) -> None:
    loaded = job.load(text)
    once = job.dump(loaded)
    again = job.load(once)
    assert again == loaded
    assert job.dump(again) == once
    assert job.canonical(again) == job.canonical(loaded)


def test_feet_and_inches_are_read_wherever_a_length_is() -> None:
    text = job.starter().replace("run: 5200", "run: 17' 3/4\"").replace("x: 310,", "x: 1 ft,")
    loaded = job.load(text)
    assert loaded.wall.run == pytest.approx(17 * 304.8 + 0.75 * 25.4)  # inch = 25.4 mm exactly
    assert loaded.wall.services[0].x == pytest.approx(304.8)
    assert job.load(job.dump(loaded)) == loaded


def test_the_bytes_to_hash_hold_every_value_and_know_no_order() -> None:
    loaded = job.load(TEXTS[0])
    values = json.loads(job.canonical(loaded))
    assert Job.model_validate(values) == loaded
    assert values["offcuts"][0]["count"] == 1  # a default, and still there
    shuffled = dict(reversed(list(yaml.safe_load(TEXTS[0]).items())))
    assert job.canonical(job.load(yaml.safe_dump(shuffled))) == job.canonical(loaded)


def test_any_change_changes_the_bytes_to_hash() -> None:
    loaded = job.load(TEXTS[0])
    assert job.canonical(_changed(loaded, revision=2)) != job.canonical(loaded)
    assert job.canonical(_changed(loaded, issued=date(2026, 3, 3))) != job.canonical(loaded)


@settings(deadline=None, max_examples=60)
@given(st.text(st.characters(blacklist_categories=["Cs", "Cc"]), min_size=1, max_size=40))
def test_any_text_survives_the_file(text: str) -> None:
    if not text.strip():
        return
    loaded = _changed(job.load(job.starter()), note=text)
    assert job.load(job.dump(loaded)).job.note == loaded.job.note


@pytest.mark.parametrize(
    "text", ["1e5", "yes", "null", "12", "2026-03-02", "1:30", "~", ".5", "0x1f"]
)
def test_a_text_that_looks_like_something_else_stays_a_text(text: str) -> None:
    loaded = _changed(job.load(job.starter()), title=text)
    assert job.load(job.dump(loaded)).job.title == text
    assert yaml.safe_load(job.dump(loaded))["job"]["title"] == text  # for other readers too


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("true", True),
        ("False", False),
        ("yes", "yes"),
        ("off", "off"),
        ("null", None),
        ("", None),
        ("12", 12),
        ("-3.5", -3.5),
        ("012", 12),
        ("1:30", "1:30"),
        ("2026-03-02", "2026-03-02"),
        ("9' 5\"", "9' 5\""),
    ],
)
def test_unquoted_words_mean_what_yaml_1_2_core_says(text: str, value: object) -> None:
    """YAML 1.2.2, section 10.3 (core schema)."""
    assert scalar(text) == value
    assert type(scalar(text)) is type(value)


def test_a_file_is_loaded_by_its_path(tmp_path: pytest.TempPathFactory) -> None:
    path = tmp_path / "job.yaml"  # type: ignore[operator]
    path.write_bytes("\ufeff".encode() + job.starter().replace("\n", "\r\n").encode())
    assert job.load(path) == job.load(job.starter())


def test_the_starter_has_a_note_for_every_section_and_checks_clean() -> None:
    assert job.check(job.starter()) == []
    for section in Job.model_fields:
        assert f"\n{section}:" in job.starter() or f"\n# {section}:" in job.starter()
