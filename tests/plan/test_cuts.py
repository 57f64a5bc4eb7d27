"""Is everything cut to length taken from the least that is bought, for one job and for many?"""

from __future__ import annotations

from collections import Counter

import pytest

from truehang import catalogue, demo
from truehang.cutting import CutRules, Rack, RackError
from truehang.job import load
from truehang.plan import Plan, complete, cut, cut_and_hold, cut_done, holder, plan
from truehang.plan.cuts import parts_of

BOUGHT = catalogue.load()


def plans(name: str) -> list[Plan]:
    return [plan(load(text), BOUGHT) for _, text in demo.files(name)]


def test_every_part_is_cut_once_and_lies_inside_its_length() -> None:
    (made,) = plans("fernhollow")
    cutting = cut([made], BOUGHT)
    wanted = Counter({part.id: part.count for part in parts_of(made)})
    assert Counter(c.part for line in cutting.lines for c in line.cuts) == wanted
    for line in cutting.lines:
        ends = [edge for c in line.cuts for edge in (c.start_mm, c.end_mm)]
        assert ends == sorted(ends)
        assert ends[-1] <= line.length_mm
    assert cutting.proved


def test_pooling_two_jobs_never_costs_more_than_cutting_each_alone() -> None:
    one, two = plans("fernhollow") + plans("quarry-house")
    alone = [cut([each], BOUGHT).total for each in (one, two)]
    pooled = cut([one, two], BOUGHT).total
    assert pooled is not None
    assert alone[0] is not None
    assert alone[1] is not None
    assert pooled <= alone[0] + alone[1]


def test_the_lofts_are_pooled_and_proved() -> None:
    made = plans("tannery-lofts")
    cutting = cut(made, BOUGHT)
    assert sum(part.count for each in made for part in parts_of(each)) > 300
    assert cutting.proved
    assert cutting.uncut == ()


def test_a_piece_named_by_two_jobs_is_used_once() -> None:
    (made,) = plans("fernhollow")
    twin = plan(
        made.job.model_copy(update={"job": made.job.job.model_copy(update={"name": "twin"})}),
        BOUGHT,
    )
    used = [line.stock for line in cut([made, twin], BOUGHT).lines if line.source == "rack"]
    assert len(used) == len(set(used))


def test_nothing_longer_than_can_be_carried_in_is_bought() -> None:
    (made,) = plans("fernhollow")
    assert made.job.site.longest == 3600
    assert all(line.length_mm <= 3600 for line in cut([made], BOUGHT).lines)


def test_a_whole_plan_has_its_cutting_and_its_figures() -> None:
    (made,) = plans("fernhollow")
    whole = complete(made, BOUGHT)
    assert whole.cutting is not None
    assert complete(whole, BOUGHT) is whole
    assert set(made.figures) < set(whole.figures)
    assert whole.digest == made.digest


def test_what_is_held_is_what_is_planned_again_when_it_is_sawn() -> None:
    both = plans("fernhollow") + plans("quarry-house")
    names = [each.job.job.name for each in both]
    lengths = [900.0, 1300.0, 2100.0, 2420.0, 2600.0, 3500.0]
    sections = ("MGP12 45x90", "MGP10 45x90", "architrave 42x11", "skirting 92x18")
    rack = Rack().put([(section, length) for section in sections for length in lengths])
    rack = rack.hold(["R6"], "someone else").hold(["R5"], names[0])
    made, held = cut_and_hold(both, BOUGHT, rack, names)
    used = {line.stock for line in made.lines if line.source == "rack"}
    assert used
    assert {piece.id for piece in held.pieces if piece.held_by == holder(names)} == used
    assert held.piece("R6").held_by == "someone else"
    again, after = cut_done(both, BOUGHT, held, names)
    assert again == made
    assert {gone.id for gone in after.gone} == used
    kept = sorted(line.remainder_mm for line in made.lines if line.kept)
    assert sorted(p.length_mm for p in after.pieces if p.came_from == holder(names)) == kept
    for name in names:
        with pytest.raises(RackError, match="settled already"):
            cut_done([both[names.index(name)]], BOUGHT, after, [name])


def test_a_plan_that_is_not_the_one_that_was_held_is_not_settled() -> None:
    (made,) = plans("fernhollow")
    rack = Rack().put([("MGP12 45x90", 3462.0)])
    _, held = cut_and_hold([made], BOUGHT, rack, ["a job"])
    assert held.piece("R1").held_by == "a job"
    with pytest.raises(RackError, match="R1 held for a job would not be cut"):
        cut_done([made], BOUGHT, held, ["a job"], CutRules(end_trim_mm=20))


DEMOS = [text for one in demo.names() for name, text in demo.files(one) if "-f0" in name or
         not name.startswith("tannery")]  # fmt: skip


@pytest.mark.parametrize("text", DEMOS)
def test_every_piece_says_how_it_is_made_and_where_it_goes(text: str) -> None:
    # common practice, no source: a carpenter needs length, section, rip width, groove, mitre, place
    made = plan(load(text), BOUGHT)
    assert made.takeoff is not None
    for item in made.takeoff.items:
        if item.group not in ("framing", "frame", "trim", "leaves"):
            continue
        assert item.where, item.key
        assert "⟨" not in f"{item.where}{item.making}"
        if "ripped" in item.label:
            assert item.rip is not None
            assert 0 < item.rip < made.job.wall.make_up.studs.width
            assert "rip" in item.making
    for part in parts_of(made):
        assert part.where
    fit = made.arrangement
    assert fit is not None
    for piece in fit.parts:
        if piece.material != "timber":
            continue
        (item,) = [i for i in made.takeoff.items if i.key == f"frame.{piece.key}"]
        assert item.stock or item.section == piece.section
        if piece.key == "jamb" and fit.jamb_groove:
            assert "groove" in item.making


def test_what_is_said_of_a_part_reaches_its_cut() -> None:
    made = plan(load(dict(demo.files("fernhollow"))["fernhollow.yaml"]), BOUGHT)
    ripped = [
        one for line in cut([made], BOUGHT).lines for one in line.cuts if one.rip_mm is not None
    ]
    assert len(ripped) == 2
    at = {one.where.split(",")[0] for one in ripped}
    assert at == {"left of the frame", "right of the frame"}
    assert all("rip its 45 mm face to" in one.told for one in ripped)
