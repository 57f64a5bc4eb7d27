"""Which option is best when everything counts? Passage, privacy, mass, force, cost, wall lost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from truehang.catalogue.access import AccessLimits
from truehang.fit import Arrangement, NotFitted, Option, Options, Sense, arrange, non_dominated
from truehang.fit.access import access_findings, force_check
from truehang.hardware import LeafHardware
from truehang.message import messages
from truehang.plan.given import Given
from truehang.plan.hang import hang
from truehang.plan.hear import sound_input
from truehang.plan.space import Ask
from truehang.plan.store import Store
from truehang.sound import Comparer, Rating, SoundInput, SoundInputError

SENSES: tuple[Sense, ...] = ("more", "more", "less", "less", "less", "less")
"""Clear passage, Rw, mass of all leaves, force, price, wall lost."""


@dataclass(frozen=True, slots=True)
class WeighedOption:
    """An option with what the other rooms say of it.

    `rank` counts from 1; `unbeaten`: no other option is as good in everything and better in
    something. `rating` is that of the closed wall (None where it can't be predicted), `mass` of
    all leaves (kg), `force` the most that moving one leaf may take (N), `force_low` the least.
    """

    rank: int
    unbeaten: bool
    option: Option
    arrangement: Arrangement
    hardware: tuple[LeafHardware, ...]
    rating: Rating | None

    @property
    def mass(self) -> float:
        """Mass of all leaves, kg."""
        return sum(leaf.mass for leaf in self.hardware)

    @property
    def force(self) -> float:
        """The most that moving one leaf may take, N: with soft close and seals."""
        return max(leaf.force[1] for leaf in self.hardware)

    @property
    def force_low(self) -> float:
        """The same at the low end of rolling and seals, N."""
        return max(leaf.force[0] for leaf in self.hardware)


def weigh(
    given: Given,
    asked: Ask,
    found: Options,
    rules: AccessLimits | None,
    compare: Comparer,
) -> tuple[WeighedOption, ...]:
    """All options, best first.

    What keeps the accessibility figures and the wish for quiet comes first, then what nothing
    beats, then the order of the fit room.
    """
    all_weighed = tuple(_each(given, asked, found, rules, compare))
    marks = non_dominated([_row(one) for one in all_weighed], SENSES)
    marked = [replace(one, unbeaten=mark) for one, mark in zip(all_weighed, marks, strict=True)]
    quiet = given.job.wishes.quiet or 0

    def place(one: WeighedOption) -> tuple[bool, bool, bool, int]:
        loud = one.rating is not None and one.rating.rw < quiet
        return (not one.option.access_passed, loud, not one.unbeaten, one.option.rank)

    ordered = sorted(marked, key=place)
    return tuple(replace(one, rank=rank) for rank, one in enumerate(ordered, start=1))


def _each(
    given: Given,
    asked: Ask,
    found: Options,
    rules: AccessLimits | None,
    compare: Comparer,
) -> Iterator[WeighedOption]:
    job, catalogue, store = given.job, given.catalogue, given.store
    kits = {kit.id: kit for kit in asked.kits}
    leaves = {leaf.id: leaf for leaf in asked.leaves}
    for option in found.options:
        try:
            made = _arranged(asked, option, store)
        except NotFitted:
            continue
        kit, leaf = kits[option.kit_id], leaves[option.leaf_id]
        rating = None
        try:
            heard = sound_input(job, made, kit, leaf, catalogue.materials)
            rating = _rated(compare, heard, store)
        except SoundInputError:
            pass  # said once, of the chosen option
        hung = hang(job, made, kit, leaf, catalogue.seals)
        option, made = _with_force(option, made, hung, rules)
        yield WeighedOption(0, False, option, made, hung, rating)


def _arranged(asked: Ask, option: Option, store: Store) -> Arrangement:
    return store.answer(
        "arrange",
        (asked.given, option),
        lambda: arrange(asked.request, option, asked.kits, asked.leaves),
    )


def _rated(compare: Comparer, given: SoundInput, store: Store) -> Rating:
    return store.answer("rating", given, lambda: compare.rating(given))


def _with_force(
    option: Option,
    made: Arrangement,
    hung: tuple[LeafHardware, ...],
    rules: AccessLimits | None,
) -> tuple[Option, Arrangement]:
    """The same with the force held against the rule set: only the hung leaf knows it."""
    low, high = (max(leaf.force[end] for leaf in hung) for end in (0, 1))
    force = force_check(rules, low, high)
    if not force:
        return option, made
    failed = messages(f"{one.label} {one.shown}, asked {one.limit}" for one in force
                      if one.passed is False)  # fmt: skip
    option = replace(option, access=(*option.access, *force), loses=(*option.loses, *failed))
    return option, replace(
        made,
        option=option,
        access=(*made.access, *force),
        findings=(*made.findings, *access_findings(force)),
    )


def _row(one: WeighedOption) -> tuple[float, ...]:
    rw = one.rating.rw_tenths if one.rating else 0.0
    option = one.option
    return (option.passage, rw, one.mass, one.force, option.price_minor, option.lost_wall)
