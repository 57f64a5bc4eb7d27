"""Which sections of the catalogue hold the track still enough? All of them looked at at once."""

from __future__ import annotations

import math

import numpy as np

from truehang.catalogue.timber import Timber
from truehang.structure.beams import SHEAR_FORM, Array, Beam, moving_deflection
from truehang.structure.candidates import Candidates, build
from truehang.structure.inputs import HeadMember, HungLeaf, TrackHead
from truehang.structure.results import TrackHeadChoice
from truehang.structure.track_head import GRAVITY, deflection_limit, leaf_travel

MOST_PLIES = 2
"""Pieces that are put together on edge at most (common practice, no source)."""


def track_head_choices(
    span: tuple[float, float],
    leaves: tuple[HungLeaf, ...],
    code: str,
    timber: Timber,
    *,
    lining: float = 0.0,
    most: tuple[float, float] = (math.inf, math.inf),
) -> tuple[TrackHeadChoice, ...]:
    """Sections on edge, single or built up, that pass the deflection limit; the lightest first.

    Of the solid timber that is sold, up to `most` deep and broad (mm). Supports at both ends of
    `span` (mm, wall frame), `lining` kg per metre. Empty when nothing passes. Raises as
    `TrackHead` and `size_head` do for bad input.
    """
    rules = timber.code(code)
    tried = build(rules, timber.sawn, timber.grades, MOST_PLIES)
    creep = 1.0 + rules.creep[0]
    members = [_member(tried, i, creep) for i in range(len(tried.sections))]
    head = TrackHead(*span, members[0], leaves, lining)
    length = head.right - head.left
    down = _deflections(head, tried, creep)
    limit = deflection_limit(length)
    ok = (down <= limit) & (tried.depth <= most[0]) & (tried.breadth <= most[1])
    mass = tried.density * tried.breadth * tried.depth * length * 1e-9
    return tuple(
        TrackHeadChoice(
            member=members[i],
            section=tried.sections[i].code,
            deflection=float(down[i]),
            limit=limit,
            mass=float(mass[i]),
            price=math.ceil(tried.sections[i].price_per_metre * members[i].plies * length / 1000.0),
            currency=tried.sections[i].currency,
        )
        for i in sorted(np.flatnonzero(ok), key=lambda i: (mass[i], i))
    )


def _deflections(head: TrackHead, tried: Candidates, creep: float) -> Array:
    """An upper bound at the hangers, (n,): the worst of the leaves, of bending and of shear, and
    the mid-span deflection of the permanent load, as if all happened at one place."""
    span = head.right - head.left
    stiff = tried.modulus * tried.breadth * tried.depth**3 / 12.0
    shear = SHEAR_FORM * tried.shear_modulus * tried.breadth * tried.depth
    bent = _worst_of_leaves(head, Beam(span, 1.0, math.inf))
    sheared = _worst_of_leaves(head, Beam(span, math.inf, 1.0))
    own = (tried.density * tried.breadth * tried.depth * 1e-6 + head.lining) * GRAVITY / 1000.0
    permanent = own * creep * (5.0 * span**4 / (384.0 * stiff) + span**2 / (8.0 * shear))
    total: Array = bent / stiff + sheared / shear + permanent
    return total


def _worst_of_leaves(head: TrackHead, unit: Beam) -> float:
    """Most that the leaves put the track down anywhere on a beam of unit stiffness, each leaf
    where it does most."""
    along = np.linspace(0.0, unit.span, 121)
    travels = [leaf_travel(leaf, head.left) for leaf in head.leaves]
    downs = [moving_deflection(unit, t.loads, t.hangers, along).max(axis=0) for t in travels]
    return float(np.sum(downs, axis=0).max())


def _member(tried: Candidates, i: int, creep: float) -> HeadMember:
    section, plies = tried.sections[i], int(tried.plies[i])
    return HeadMember(
        name=section.code if plies == 1 else f"{plies} / {section.code}",
        breadth=section.breadth,
        depth=section.depth,
        modulus=float(tried.modulus[i]),
        shear_modulus=float(tried.shear_modulus[i]),
        density=float(tried.density[i]),
        plies=plies,
        creep=creep,
    )
