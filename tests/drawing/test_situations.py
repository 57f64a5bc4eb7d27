"""Does each situation have one picture and one set of words, the same wherever it is shown?"""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args
from xml.etree import ElementTree

import pytest
from tests.drawing.test_collisions import collisions
from typer.testing import CliRunner

from truehang.cli import app
from truehang.drawing import Scene, Sheet, situation_picture, svg
from truehang.drawing.scene import Layer, Polygon
from truehang.job import load, starter
from truehang.job.models import Wall
from truehang.situations import SITUATIONS, Situation, situation

ROOT = Path(__file__).resolve().parents[2]
KEYS = [one.key for one in SITUATIONS]


def drawn(one: Situation) -> Scene:
    return situation_picture(one.key, one.name, Sheet())


def test_every_situation_of_the_job_file_is_told_and_no_other() -> None:
    assert set(KEYS) == set(get_args(Wall.model_fields["situation"].annotation))
    assert len(KEYS) == len(set(KEYS))


@pytest.mark.parametrize("one", SITUATIONS, ids=KEYS)
def test_a_picture_collides_with_nothing_and_shows_what_it_is_about(one: Situation) -> None:
    scene = drawn(one)
    assert collisions(scene) == []
    parts = {item.part for item in scene.items if isinstance(item, Polygon)}
    assert {"leaves", "pockets", "studs"} <= parts
    assert ("old-opening" in parts) == one.key.endswith("l-opening") or one.key == "beside-opening"
    assert ("head" in parts) == (one.key != "fill-opening")
    new = any(item.layer is Layer.MARKED for item in scene.items)
    assert new == (one.key == "new-wall")


def test_a_leaf_goes_into_a_pocket_as_wide_as_itself() -> None:
    """A pocket takes its leaf whole: handbook geometry, P = w - r + g."""
    for one in SITUATIONS:
        spans: dict[str, list[float]] = {"leaves": [], "pockets": []}
        for item in drawn(one).items:
            if isinstance(item, Polygon) and item.part in spans:
                xs = [x for x, _ in item.points]
                spans[item.part].append(max(xs) - min(xs))
        assert len(spans["leaves"]) == len(spans["pockets"])
        for leaf, pocket in zip(spans["leaves"], spans["pockets"], strict=True):
            assert leaf <= pocket <= 1.2 * leaf


@pytest.mark.parametrize("one", SITUATIONS, ids=KEYS)
def test_the_picture_is_told_to_those_who_cant_see_it(one: Situation) -> None:
    root = ElementTree.fromstring(svg(drawn(one), about=one.shows))
    space = "{http://www.w3.org/2000/svg}"
    assert root.get("role") == "img"
    assert root.findtext(f"{space}title") == one.name
    assert root.findtext(f"{space}desc") == one.shows


@pytest.mark.parametrize("one", SITUATIONS, ids=KEYS)
def test_the_docs_show_the_same_picture_and_words(one: Situation) -> None:
    kept = (ROOT / "docs" / "images" / f"situation-{one.key}.svg").read_text(encoding="utf-8")
    assert kept == svg(drawn(one), about=one.shows)
    page = (ROOT / "docs" / "job-file.md").read_text(encoding="utf-8")
    assert f"images/situation-{one.key}.svg" in page
    assert f"| `{one.key}` | {one.words} |" in page


@pytest.mark.parametrize("key", KEYS)
def test_a_new_file_is_for_the_situation_that_was_asked_for(key: str, tmp_path: Path) -> None:
    assert load(starter(key)).wall.situation == key
    made = CliRunner().invoke(app, ["new", str(tmp_path / "a.yaml"), "--situation", key])
    assert made.exit_code == 0
    assert load((tmp_path / "a.yaml").read_bytes()).wall.situation == key


def test_without_one_all_are_told_in_words_and_a_wrong_one_is_refused(tmp_path: Path) -> None:
    told = CliRunner().invoke(app, ["new", str(tmp_path / "a.yaml")])
    wrong = CliRunner().invoke(app, ["new", str(tmp_path / "b.yaml"), "--situation", "beside"])
    assert told.exit_code == 0
    assert wrong.exit_code == 2
    assert not (tmp_path / "b.yaml").exists()
    for text in (told.output, wrong.output):
        plain = re.sub(r"\s+", " ", text)
        for one in SITUATIONS:
            assert one.key in plain
            assert one.words in plain
    assert situation("new-wall").name == "A new wall"
