"""Is everything cut to length taken from the least that is bought, for one job and for many?"""

from __future__ import annotations

from collections import Counter

from truehang import catalogue, demo
from truehang.job import load
from truehang.plan import Plan, complete, cut, plan
from truehang.plan.cuts import parts_of


def plans(name: str) -> list[Plan]:
    return [plan(load(text), catalogue.load()) for _, text in demo.files(name)]


def test_every_part_is_cut_once_and_lies_inside_its_length() -> None:
    (made,) = plans("fernhollow")
    cutting = cut([made])
    wanted = Counter({part.id: part.count for part in parts_of(made)})
    assert Counter(c.part for line in cutting.lines for c in line.cuts) == wanted
    for line in cutting.lines:
        ends = [edge for c in line.cuts for edge in (c.start_mm, c.end_mm)]
        assert ends == sorted(ends)
        assert ends[-1] <= line.length_mm
    assert cutting.proved


def test_pooling_two_jobs_never_costs_more_than_cutting_each_alone() -> None:
    one, two = plans("fernhollow") + plans("quarry-house")
    alone = [cut([each]).total for each in (one, two)]
    pooled = cut([one, two]).total
    assert pooled is not None
    assert alone[0] is not None
    assert alone[1] is not None
    assert pooled <= alone[0] + alone[1]


def test_the_lofts_are_pooled_and_proved() -> None:
    made = plans("tannery-lofts")
    cutting = cut(made)
    assert sum(part.count for each in made for part in parts_of(each)) > 300
    assert cutting.proved
    assert cutting.uncut == ()


def test_a_piece_named_by_two_jobs_is_used_once() -> None:
    (made,) = plans("fernhollow")
    twin = plan(
        made.job.model_copy(update={"job": made.job.job.model_copy(update={"name": "twin"})}),
        catalogue.load(),
    )
    used = [line.stock for line in cut([made, twin]).lines if line.source == "rack"]
    assert len(used) == len(set(used))


def test_nothing_longer_than_can_be_carried_in_is_bought() -> None:
    (made,) = plans("fernhollow")
    assert made.job.site.longest == 3600
    assert all(line.length_mm <= 3600 for line in cut([made]).lines)


def test_a_whole_plan_has_its_cutting_and_its_figures() -> None:
    (made,) = plans("fernhollow")
    whole = complete(made)
    assert whole.cutting is not None
    assert complete(whole) is whole
    assert set(made.figures) < set(whole.figures)
    assert whole.digest == made.digest
