"""Are the seals in the force, and is a limit the same wherever it is said?

N per metre of the shipped seals: invented ranges. Lengths they drag on: geometry. 20 N: AS
1428.1:2009, 22.2 N: 2010 ADA Standards 404.2.9, no figure: Approved Document M (see
tests/published/test_accessibility_*.py).
"""

from __future__ import annotations

import tomllib
from fnmatch import filter as matching
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from truehang import catalogue, demo
from truehang.findings import Severity
from truehang.job import Job, load, starter
from truehang.pack.printing import Printing
from truehang.pack.sections import hardware as hardware_page
from truehang.plan import Plan, plan

NONE = {"mouth": "none", "head": "none", "floor": "none", "jamb": "none", "meeting": "none"}
BRUSHES = {**NONE, "mouth": "brush", "head": "brush", "floor": "brush"}


@cache
def job_of(file: str) -> Job:
    texts = {name: text for demo_name in demo.names() for name, text in demo.files(demo_name)}
    return load(texts[file])


def changed(file: str, region: str = "au", **wishes: Any) -> Job:
    job = job_of(file)
    held = job.wishes.model_dump()
    held.update(wishes)
    about = job.job.model_copy(update={"region": region})
    return job.model_copy(
        update={"wishes": type(job.wishes).model_validate(held), "job": about}
    )  # fmt: skip


@cache
def fernhollow(seals: str) -> Plan:
    wanted = {"none": NONE, "brushes": BRUSHES}[seals]
    return plan(changed("fernhollow.yaml", seals=wanted, soft_close="none"), catalogue.load())


def test_brushes_on_all_edges_are_in_the_force() -> None:
    bare, sealed = fernhollow("none"), fernhollow("brushes")
    assert sealed.arrangement is not None
    for before, after, leaf in zip(
        bare.hardware, sealed.hardware, sealed.arrangement.leaves, strict=True
    ):
        seen = min(leaf.closed.high, sealed.arrangement.opening.high) - max(
            leaf.closed.low, sealed.arrangement.opening.low
        )
        # both faces at the mouth, both faces at the head, the whole bottom edge
        metres = (2 * leaf.height + 2 * seen + leaf.width) / 1000
        assert after.sliding_force[0] - before.sliding_force[0] == pytest.approx(1.0 * metres)
        assert after.sliding_force[1] - before.sliding_force[1] == pytest.approx(4.0 * metres)
        assert after.starting_force[1] > before.starting_force[1] + 20


def test_what_drags_is_what_is_bought() -> None:
    made = fernhollow("brushes")
    assert made.takeoff is not None
    bought = {i.key: i.quantity for i in made.takeoff.items if i.key.startswith("seal-")}
    each = {
        place: sum(
            d.high for leaf in made.hardware for d in leaf.drags if d.place.startswith(place)
        )
        for place in ("mouth", "floor")
    }
    assert each["mouth"] == pytest.approx(4.0 * bought["seal-mouth"])
    assert each["floor"] == pytest.approx(4.0 * bought["seal-floor"])


def test_the_drag_is_explained_and_says_whose_figure_it_is() -> None:
    figures = fernhollow("brushes").figures
    drags = [key for key in figures["hardware.0.starting_force"].inputs if ".drag." in key]
    assert drags
    for key in drags:
        assert figures[key].source.startswith("invented range")
        assert "N/m" in figures[key].rule


def test_your_own_figure_takes_the_place_of_the_range() -> None:
    seals = {**BRUSHES, "drag": {"low": 6, "high": 11}}
    made = plan(changed("fernhollow.yaml", seals=seals, soft_close="none"), catalogue.load())
    bare = fernhollow("none")
    (low, high), (bare_low, bare_high) = (one.hardware[0].sliding_force for one in (made, bare))
    assert (low - bare_low, high - bare_high) == pytest.approx((6, 11))
    assert {drag.source for drag in made.hardware[0].drags} == {"your own figure"}


def test_a_seal_of_your_own_and_one_that_nobody_sells(tmp_path: Path) -> None:
    text = (resources.files("truehang.catalogue") / "data" / "seals.toml").read_text("utf-8")
    start = text.index("[[seal]]")
    own = text[start : text.index("[[seal]]", start + 1)]
    own = own.replace('"brush"\nname', '"felt"\nname').replace("most = 4.0", "most = 1.5")
    (tmp_path / "own.toml").write_text(own, encoding="utf-8")
    job = changed("fernhollow.yaml", seals={**NONE, "mouth": "felt"}, soft_close="none")
    made = plan(job, catalogue.load(tmp_path / "own.toml"))
    assert made.arrangement is not None
    height = made.arrangement.leaves[0].height
    (drag,) = made.hardware[0].drags
    assert (drag.low, drag.high) == pytest.approx((2 * height / 1000, 3 * height / 1000))
    missing = [f for f in plan(job, catalogue.load()).findings if f.where == "wishes.seals.mouth"]
    assert [f.severity for f in missing] == [Severity.STOP]


def test_the_kits_own_brushes_count() -> None:
    shipped = catalogue.load()
    bare = fernhollow("none")
    assert bare.arrangement is not None
    kit = next(kit for kit in shipped.kits if kit.id == bare.arrangement.kit_id)
    own = kit.model_copy(
        update={"built_in_drag": type(kit.leaf_width)(least=2.0, most=5.0), "id": "own-kit"}
    )
    job = changed("fernhollow.yaml", seals=NONE, soft_close="none", kit="own-kit")
    made = plan(job, shipped.__class__(**{**_fields(shipped), "kits": (*shipped.kits, own)}))
    high = made.hardware[0].sliding_force[1] - bare.hardware[0].sliding_force[1]
    assert high == pytest.approx(5.0)


def _fields(of: catalogue.Catalogue) -> dict[str, Any]:
    return {name: getattr(of, name) for name in of.__dataclass_fields__}


@pytest.mark.parametrize(
    ("region", "wished", "limit"),
    [
        ("au", "none", None),
        ("us", "none", None),
        ("uk", "none", None),
        ("au", "region", 20.0),
        ("us", "region", 22.2),
        ("uk", "region", None),
    ],
)
def test_a_limit_is_checked_where_it_is_wished_for_and_said_alike(
    region: str, wished: str, limit: float | None
) -> None:
    job = changed("quarry-house.yaml", region, accessible=wished, seals=BRUSHES)
    made = plan(job, catalogue.load())
    assert made.arrangement is not None
    on_page = [str(check.limit) for check in made.arrangement.access if check.key == "force"]
    on_steps = {c.key: c.high for step in made.steps for c in step.checks if "force" in c.key}
    said = [f.what for f in made.findings if f.where == "accessibility.force"]
    words = str(hardware_page.section(made, Printing(), {}))  # type: ignore[arg-type]
    if limit is None:
        assert on_page == said == []
        assert "ADA" not in words
        # then the step holds the leaf against what it should take itself
        most = max(leaf.force[1] for leaf in made.hardware)
        assert on_steps["force-finished"] == round(most, 1)  # as the step's own number prints
    else:
        # ADA 2010 s404.2.9 says 5 pounds (22.2 N)
        told = "5.0 lbf" if region == "us" else f"{limit:g} N"
        assert on_page == [f"at most {told}"]
        assert on_steps == {"force": limit, "force-finished": limit}
        assert f"allows {limit:g} N" in words
        assert len(said) == 1
        assert f"at most {told}" in said[0]
    if wished == "none":
        assert made.access is None
        assert not made.arrangement.access


def test_a_building_that_is_no_dwelling_is_told_that_nothing_was_checked() -> None:
    job = changed("quarry-house.yaml", accessible="none")
    building = job.building.model_copy(update={"kind": "other"})
    found = plan(job.model_copy(update={"building": building}), catalogue.load()).findings
    (said,) = [f for f in found if f.where == "wishes.accessible"]
    assert "none is checked" in said.what


@pytest.mark.parametrize(
    ("building", "asked"),
    [
        ({"kind": "dwelling", "approach": "head-on"}, "750 mm"),
        ({"kind": "dwelling", "approach": "turn", "corridor": 950.0}, "800 mm"),
        ({"kind": "other", "work": "new", "approach": "turn", "corridor": 1300.0}, "825 mm"),
        ({}, "825 mm"),
    ],
)
def test_the_building_decides_the_clear_width(building: dict[str, Any], asked: str) -> None:
    job = changed("quarry-house.yaml", "uk", accessible="region")
    there = job.building.model_copy(update=building)
    made = plan(job.model_copy(update={"building": there}), catalogue.load())
    assert made.arrangement is not None
    (width,) = [check for check in made.arrangement.access if check.key == "clear-width"]
    assert str(width.limit) == f"at least {asked}"


def test_every_number_that_a_step_asks_for_is_there_in_some_job() -> None:
    """A step that names a figure nobody makes shows nothing."""
    keys: set[str] = set()
    for name in demo.names():
        for _, text in demo.files(name)[:3]:
            keys |= set(plan(load(text), catalogue.load()).figures)
    keys |= set(plan(load(starter()), catalogue.load()).figures)  # hangs from what is there
    quarry = load(dict(demo.files("quarry-house"))["quarry-house.yaml"])
    seen = quarry.wall.evidence.model_copy(update={"loads": ()})  # so that no head is sized
    wall = quarry.wall.model_copy(update={"evidence": seen})
    keys |= set(plan(quarry.model_copy(update={"wall": wall}), catalogue.load()).figures)
    built = starter().replace("  kit: any ", "  kit: site-built ")
    keys |= set(plan(load(built), catalogue.load()).figures)  # its frame is cut on site
    steps = tomllib.loads(
        (resources.files("truehang.steps") / "order.toml").read_text(encoding="utf-8")
    )["step"]
    wanted = {pattern for step in steps for pattern in step.get("numbers", ())}
    assert {pattern for pattern in wanted if not matching(keys, pattern)} == set()


def test_advised_seals_say_what_they_cost_at_the_handle() -> None:
    made = fernhollow("none")
    assert made.sound is not None
    assert [gain.key for gain in made.sound.gains if gain.advised and "seals" in gain.key]
    said = [str(f.what) for f in made.findings if f.where == "sound.upgrades"]
    assert said
    most = max(leaf.force[1] for leaf in made.hardware)
    for words in said:
        assert f"{most:.0f} N" in words
        assert float(words.split(" to ")[1].split(" N")[0]) > most
