"""Is a job framed, screwed and packed from what is sold in its own region, by its name there?

Nominal and dressed sizes of United States lumber: from memory (2x4 is 1 1/2 x 3 1/2 in, 1x2 is
3/4 x 1 1/2 in): check the American Softwood Lumber Standard, PS 20. Gauges of wood screws, 0.060 +
0.013 n in: from memory, check ASME B18.6.1. The rest: common practice, no source. The job is
invented.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from truehang import catalogue, demo
from truehang.catalogue import CatalogueError
from truehang.job import Job, load
from truehang.plan import Plan, complete, plan

BOUGHT = catalogue.load()
INCH = 25.4
STUDS = {"au": (45.0, 90.0), "nz": (45.0, 90.0), "uk": (38.0, 89.0), "us": (38.1, 88.9)}


def job_in(region: str) -> Job:
    """tannery-g06, which makes its pocket on site, in a wall of the region's own studs."""
    texts = {file: text for name in demo.names() for file, text in demo.files(name)}
    job = load(texts["tannery-g06.yaml"])
    width, depth = STUDS[region]
    studs = job.wall.make_up.studs.model_copy(update={"width": width, "depth": depth})
    make_up = job.wall.make_up.model_copy(update={"studs": studs})
    about = job.job.model_copy(update={"region": region, "print": None})
    wall = job.wall.model_copy(update={"make_up": make_up})
    leaf = job.wishes.leaf.model_copy(update={"construction": "any"})
    wishes = job.wishes.model_copy(update={"leaf": leaf})
    return job.model_copy(update={"job": about, "wall": wall, "wishes": wishes, "packers": ()})


@cache
def made(region: str) -> Plan:
    return plan(job_in(region), BOUGHT)


@pytest.mark.parametrize("region", sorted(STUDS))
def test_all_timber_is_bought_in_the_region_and_nothing_is_a_dash(region: str) -> None:
    its = made(region)
    assert its.arrangement is not None
    assert its.takeoff is not None
    assert its.arrangement.kit_id == "site-built"
    sold = set(BOUGHT.cut_in(BOUGHT.region(region)))
    timber = [m for m in its.members if m.origin == "new" and m.section and not m.bought_in]
    assert {m.role for m in timber} >= {"head member", "back stud", "rib", "base batten"}
    assert {m.stock for m in timber} <= sold
    assert not [m.name for m in timber if str(m.making).startswith("rip") and m.role == "rib"]


def test_a_united_states_pocket_is_made_of_what_is_asked_for_there() -> None:
    stock = {m.role: m.stock for m in made("us").members if m.origin == "new" and m.stock}
    assert stock["back stud"] == stock["head member"] == "SPF No.2 2x4"
    assert stock["rib"] in ("1/2 x 1 1/2 in furring", "1x2 furring")
    for m in made("us").members:
        if m.stock == "SPF No.2 2x4" and "rip" not in m.making:
            assert m.section == pytest.approx((1.5 * INCH, 3.5 * INCH))


def test_united_states_lengths_are_whole_feet() -> None:
    us = BOUGHT.region("us")
    for section in BOUGHT.cut_in(us):
        for one in BOUGHT.lengths_of(section):
            assert one.length / INCH / 12 == pytest.approx(round(one.length / INCH / 12), abs=1e-3)


def test_screws_and_packers_are_those_of_the_region() -> None:
    us = made("us")
    assert us.fixings is not None
    assert us.arrangement is not None
    for box in us.fixings.boxes:
        assert re.search(r"\d in$", box.fastener.name), box.fastener.name
        parts = box.fastener.name.rsplit(" in", 1)[0].replace("x ", "").split()
        told = sum(_inches(part) for part in parts[-2:] if re.fullmatch(r"\d+|\d/\d", part))
        assert box.fastener.length == pytest.approx(told * INCH, abs=0.01), box.fastener.name
        if gauge := re.search(r"#(\d+)", box.fastener.name):
            assert box.fastener.diameter == pytest.approx(
                (0.060 + 0.013 * int(gauge[1])) * INCH, abs=0.01
            )
    pieces = {piece for pack in us.arrangement.packs for piece in pack.pieces or ()}
    assert all(piece / INCH * 32 == pytest.approx(round(piece / INCH * 32)) for piece in pieces)
    for region in ("au", "nz", "uk"):
        fixed = made(region).fixings
        assert fixed is not None
        assert not [box for box in fixed.boxes if " in" in box.fastener.name]


def _inches(part: str) -> float:
    over, _, under = part.partition("/")
    return float(over) / float(under or 1)


@pytest.mark.parametrize(
    ("left_out", "said"),
    [
        ("1x2 furring", "region us: kit site-built: no batten 19.05 x 38.1 is sold in USD"),
        ("batten 20x44, ex 25x50", "region uk: kit site-built: no batten 20 x 44 is sold in GBP"),
    ],
)
def test_a_region_without_the_battens_of_a_pocket_is_refused(left_out: str, said: str) -> None:
    left = tuple(m for m in BOUGHT.mouldings if m.code != left_out)
    with pytest.raises(CatalogueError) as refused:
        replace(BOUGHT, mouldings=left)
    assert said in str(refused.value)


def test_a_region_without_its_screws_or_packers_is_refused() -> None:
    metric = tuple(f for f in BOUGHT.fasteners if f.range == "metric")
    with pytest.raises(CatalogueError, match="region us: no base-screw into timber is sold in inc"):
        replace(BOUGHT, fasteners=metric)
    with pytest.raises(CatalogueError, match="region us: no packers are sold in inch sizes"):
        replace(BOUGHT, packers=BOUGHT.packers[:1])


def test_studs_that_are_not_sold_here_are_said() -> None:
    """An Australian wall of 90 under United States timber: 88.9 stands 1.1 back."""
    texts = {file: text for name in demo.names() for file, text in demo.files(name)}
    job = load(texts["quarry-house.yaml"])
    about = job.job.model_copy(update={"region": "us"})
    found = plan(job.model_copy(update={"job": about}), BOUGHT).findings
    (said,) = [one for one in found if one.where == "wall.make_up.studs"]
    assert "2x4" in said.what
    assert not [one for one in plan(job, BOUGHT).findings if one.where == "wall.make_up.studs"]


def test_what_is_bought_stands_by_its_name_and_is_cut_before_it_comes_in() -> None:
    """fernhollow carries in 3600 at most; its head of 3454 is cut from 12 ft (3657.6)."""
    (text,) = [text for _, text in demo.files("fernhollow")]
    job = load(text)
    about = job.job.model_copy(update={"region": "us", "print": None})
    whole = complete(plan(job.model_copy(update={"job": about}), BOUGHT), BOUGHT)
    assert whole.takeoff is not None
    assert not [one for one in whole.findings if one.where.startswith("cutting.part")]
    ids = {one.id for one in (*BOUGHT.fasteners, *BOUGHT.leaves)}
    assert not [item.stock for item in whole.takeoff.items if item.stock in ids]
