"""What does the hardware room get: each leaf, its hangers, how it runs and what the kit allows?"""

from __future__ import annotations

from collections.abc import Mapping

from truehang.catalogue.access import AccessRuleSet
from truehang.catalogue.kits import Kit
from truehang.catalogue.leaves import LeafConstruction
from truehang.fit import Arrangement
from truehang.hardware import (
    EdgeGaps,
    Hangers,
    HangingAdjustment,
    HangingLeft,
    HardwareError,
    Leaf,
    LeafAsHung,
    LeafHardware,
    MeetingGaps,
    Running,
    hang_true,
    hanging_left,
    leaf_hardware,
)
from truehang.measure import Profile
from truehang.structure import HeadMovement

ADA_FORCE = 22.2
ADA_SOURCE = "ADA 2010 Standards s404.2.9 (5 lbf)"


def hang(
    arrangement: Arrangement, kit: Kit, construction: LeafConstruction, rules: AccessRuleSet | None
) -> tuple[LeafHardware, ...]:
    """Mass, hanger loads and forces of every leaf of the arrangement."""
    asked = any(part.key == "soft-close" for part in arrangement.parts)
    close = kit.soft_close if asked else None
    force, source = ADA_FORCE, ADA_SOURCE
    if rules is not None and rules.force_most is not None:
        force, source = rules.force_most, rules.source
    running = Running(
        soft_close_force=close.force if close else 0.0,
        leaf_mass_limit=kit.leaf_mass_most,
        soft_close_mass_limit=close.mass_most if close else None,
        soft_close_speed_limit=close.speed_most if close else None,
        soft_close_energy_limit=close.energy_most if close else None,
        force_limit=force,
        force_source=source,
    )
    answers = []
    for number, leaf in enumerate(arrangement.leaves):
        hangers = _hangers(kit, leaf.width)
        given = Leaf(
            name=leaf.name,
            width=leaf.width,
            height=leaf.height,
            surface_density=construction.surface_density,
            handle_below_track=arrangement.heights.track_bottom - arrangement.heights.handle,
        )
        answers.append(leaf_hardware(given, hangers, running, number))
    return tuple(answers)


def _hangers(kit: Kit, width: float, raised: tuple[float, float] = (0.0, 0.0)) -> Hangers:
    half = kit.hanging_range / 2
    return Hangers(
        leading=kit.hanger_inset,
        trailing=width - kit.hanger_inset,
        pitch=kit.thread_pitch,
        up_left=(max(half - raised[0], 0.0), max(half - raised[1], 0.0)),
        down_left=(max(half + raised[0], 0.0), max(half + raised[1], 0.0)),
    )


def left(arrangement: Arrangement, kit: Kit, movement: HeadMovement) -> tuple[HangingLeft, ...]:
    """What the bolts of each leaf can still do once it hangs level under the bent head."""
    return tuple(
        hanging_left(kit.hanging_range, moved.hung_drop, leaf.name, number)
        for number, (leaf, moved) in enumerate(
            zip(arrangement.leaves, movement.leaves, strict=True)
        )
    )


def turns(
    arrangement: Arrangement,
    kit: Kit,
    floor: Profile,
    build_up: float,
    gaps: Mapping[str, tuple[float, float]],
    meeting: MeetingGaps | None = None,
) -> HangingAdjustment:
    """Which hanger bolts to turn, from gaps read under closed leaves.

    `gaps` gives for a leaf's name the gap under its leading and its trailing bottom corner, mm.
    Each should be the hung height over the finished floor there. Raises HardwareError for a leaf
    that is not there, and for readings that can't be.
    """
    names = [leaf.name for leaf in arrangement.leaves]
    for name in gaps:
        if name not in names:
            raise HardwareError(f"leaf {name!r}: there is none; write one of {', '.join(names)}")
    hung = []
    for leaf in arrangement.leaves:
        leftward = leaf.pocket == "left"
        ends = (leaf.closed.high, leaf.closed.low) if leftward else (
            leaf.closed.low, leaf.closed.high
        )  # fmt: skip
        read = gaps.get(leaf.name)
        want = [leaf.bottom - floor.z(x) - build_up for x in ends]
        hung.append(
            LeafAsHung(
                name=leaf.name,
                width=leaf.width,
                height=leaf.height,
                hangers=_hangers(kit, leaf.width),
                gaps=EdgeGaps(read[0], read[1], want[0], want[1]) if read else EdgeGaps(),
            )
        )
    return hang_true(hung, meeting)
