"""The catalogue gathers every table, knows its version, and takes the user's own kits."""

from __future__ import annotations

import dataclasses
import tomllib
from importlib import resources
from pathlib import Path

import pytest
import yaml

from truehang import catalogue
from truehang.catalogue import CatalogueError

SHIPPED = catalogue.load()


def _kit_text(**changes: str) -> str:
    """The first shipped kit as a file of one's own, some lines changed or (with "") left out."""
    folder = resources.files("truehang.catalogue") / "data" / "kits.toml"
    text = folder.read_text(encoding="utf-8")
    start = text.index("[[kit]]")
    end = text.index("[[kit]]", start + 1)
    lines = []
    for line in text[start:end].splitlines():
        key = line.partition(" =")[0]
        if key in changes:
            if changes[key]:
                lines.append(f"{key} = {changes.pop(key)}")
            continue
        lines.append(line)
    return "\n".join(lines)


def _write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_table_is_there_and_ids_are_unique() -> None:
    users = {"prices", "own"}  # nothing of a user's own ships
    for field in dataclasses.fields(SHIPPED):
        assert bool(getattr(SHIPPED, field.name)) is (field.name not in users), field.name
    for entries, name in (
        (SHIPPED.kits, "id"),
        (SHIPPED.leaves, "id"),
        (SHIPPED.regions, "id"),
        (SHIPPED.access_rules, "id"),
        (SHIPPED.materials, "key"),
        (SHIPPED.noises, "key"),
        (SHIPPED.seals, "key"),
    ):
        ids = [getattr(entry, name) for entry in entries]
        assert len(ids) == len(set(ids))


def test_every_data_file_is_toml_and_says_at_the_top_what_it_is() -> None:
    def files(folder: Path) -> list[Path]:
        return sorted(folder.rglob("*.toml"))

    with resources.as_file(resources.files("truehang.catalogue") / "data") as folder:
        found = files(folder)
        assert len(found) >= 10
        for file in found:
            text = file.read_text(encoding="utf-8")
            assert text.startswith("# "), file.name
            tomllib.loads(text)


def test_the_version_is_the_same_for_the_same_data_and_changes_with_own_data(
    tmp_path: Path,
) -> None:
    assert catalogue.load().version == SHIPPED.version
    assert len(SHIPPED.version) == 12
    one = catalogue.load(_write(tmp_path, _kit_text(id='"own"')))
    same = catalogue.load(_write(tmp_path, _kit_text(id='"own"')))
    other = catalogue.load(_write(tmp_path, _kit_text(id='"own"', name='"Other"')))
    assert one.version == same.version
    assert len({SHIPPED.version, one.version, other.version}) == 3


def test_an_own_kit_stands_beside_the_shipped_ones(tmp_path: Path) -> None:
    own = catalogue.load(_write(tmp_path, _kit_text(id='"own"')))
    assert own.kits[:-1] == SHIPPED.kits
    assert own.kits[-1].id == "own"
    assert own.kits[-1].tail == SHIPPED.kits[0].tail


def test_an_own_kit_may_be_written_in_yaml(tmp_path: Path) -> None:
    values = tomllib.loads(_kit_text(id='"own"'))
    (tmp_path / "own.yaml").write_text(yaml.safe_dump(values), encoding="utf-8")
    own = catalogue.load(tmp_path / "own.yaml")
    as_toml = catalogue.load(_write(tmp_path, _kit_text(id='"own"')))
    assert own.kits == as_toml.kits


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "line 1: the file is empty"),
        ("kit: &a []", "line 1: an anchor is not read here"),
        ("kit:\n  id: x\n", r"not a list; write `kit:`"),
        ("kits: []", r"unknown table; write kit:, leaf: or seal:"),
    ],
)
def test_yaml_that_holds_no_kits_is_refused(tmp_path: Path, text: str, message: str) -> None:
    (tmp_path / "own.yml").write_text(text, encoding="utf-8")
    with pytest.raises(CatalogueError, match=message):
        catalogue.load(tmp_path / "own.yml")


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (
            {"id": '"own"', "tail": "-1"},
            r"own\.toml: line \d+: kit own: tail: -1.*look at the datasheet",
        ),
        ({"id": '"own"', "tail": '"much"'}, r"kit own: tail: 'much'.*number"),
        ({"id": '"own"', "tail": "nan"}, r"kit own: tail: nan"),
        ({"id": '"own"', "tail": ""}, r"kit own: tail: missing; add it from the datasheet"),
        ({"id": '"own"', "name": '"x"\ntial = 2'}, r"tial: unknown key; did you mean 'tail'\?"),
        ({"id": '"own"', "leaf_width": "{ least = 9.0, most = 2.0 }"}, "swap them"),
        (
            {"id": '"own"\nlike = "timber-99"'},
            r"like: 'timber-99' is not there; did you mean 'timb",
        ),
    ],
)
def test_a_wrong_own_kit_names_field_value_and_mend(
    tmp_path: Path, changes: dict[str, str], message: str
) -> None:
    with pytest.raises(CatalogueError, match=message):
        catalogue.load(_write(tmp_path, _kit_text(**changes)))


GLAZED = """
[[leaf]]
id = "own"
name = "own glazed leaf"
note = "invented"
kind = "glass"
glass = true
timber = true
thickness = 40.0
surface_density = 20.0
width = { least = 500.0, most = 1200.0 }
height = { least = 1900.0, most = 2500.0 }
made_to_size = true
price_minor_per_m2 = 1
price_least_minor = 1
lead_time_days = 1
"""


@pytest.mark.parametrize(
    ("glazing", "message"),
    [
        ("{ thickness = 6.38 }", r"leaf own: glazing\.share: missing; add it from the datasheet"),
        ("{ thickness = 0.0, share = 0.6 }", r"glazing\.thickness: 0\.0 .*greater than 0"),
        ("{ thickness = 6.38, share = 1.2 }", r"glazing\.share: 1\.2"),
        ("{ thickness = 50.0, share = 0.1 }", r"glazing\.thickness: 50 is more than the leaf's 40"),
        # 2.5 kg/m2 for each mm (from memory: 2500 kg/m3, check EN 572-1): 30 x 0.9 x 2.5 = 67.5.
        ("{ thickness = 30.0, share = 0.9 }", r"the glass alone is 67\.5 kg/m2 .* weighs 20; give"),
        ("{ thickness = 6.38, share = 1.0 }", r"glass all over is 15\.95 kg/m2, .* give the share"),
    ],
)
def test_glass_that_can_not_be_in_the_leaf_is_refused(
    tmp_path: Path, glazing: str, message: str
) -> None:
    with pytest.raises(CatalogueError, match=message):
        catalogue.load(_write(tmp_path, f"{GLAZED}glazing = {glazing}\n"))


def test_a_leaf_without_glass_has_no_glazing(tmp_path: Path) -> None:
    text = GLAZED.replace("glass = true", "glass = false").replace('"glass"', '"mdf"')
    with pytest.raises(CatalogueError, match="leaf without glass; write glass = true"):
        catalogue.load(_write(tmp_path, f"{text}glazing = {{ thickness = 4.0, share = 0.5 }}\n"))


def test_glass_that_nobody_gave_is_unknown_unless_the_leaf_is_glass_all_through(
    tmp_path: Path,
) -> None:
    framed = catalogue.load(_write(tmp_path, GLAZED)).leaves[-1]
    assert framed.known_glazing is None
    sheet = GLAZED.replace("thickness = 40.0", "thickness = 8.0")  # 8 x 2.5 = 20 kg/m2
    known = catalogue.load(_write(tmp_path, sheet)).leaves[-1].known_glazing
    assert known is not None
    assert (known.thickness, known.share) == (8.0, 1.0)


def test_everything_wrong_is_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(CatalogueError) as caught:
        catalogue.load(_write(tmp_path, _kit_text(id='"own"', tail="-1", lead="", back_stud="0")))
    assert len(str(caught.value).splitlines()) == 3


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "nothing in it"),
        ("[[kti]]\n", "unknown table"),
        ("[kit]\n", "two brackets"),
        ("kit = [1]\n", "kit 1"),
        ("[[kit\n", "not TOML"),
        ("#" * 1_100_000, "more than the"),
    ],
)
def test_a_file_that_holds_no_kits_is_refused(tmp_path: Path, text: str, message: str) -> None:
    with pytest.raises(CatalogueError, match=message):
        catalogue.load(_write(tmp_path, text))


def test_a_missing_or_binary_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CatalogueError, match="no such file"):
        catalogue.load(tmp_path / "nowhere.toml")
    path = tmp_path / "own.toml"
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(CatalogueError, match="not UTF-8"):
        catalogue.load(path)
