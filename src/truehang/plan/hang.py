"""What does the hardware room get: each leaf, its hangers, how it runs and what the kit allows?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from truehang.amounts import amounts
from truehang.catalogue import Catalogue
from truehang.catalogue.kits import Kit, Range
from truehang.catalogue.leaves import LeafConstruction
from truehang.catalogue.materials import nearest
from truehang.catalogue.seals import Seal
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.fit.model import Leaf as FitLeaf
from truehang.hardware import (
    Drag,
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
from truehang.hardware.inputs import When
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import Profile
from truehang.message import message
from truehang.structure import HeadMovement

SEAL_PLACES = ("mouth", "head", "floor", "jamb", "meeting")
OWN_FIGURE = "your own figure"


def hang(
    job: Job,
    arrangement: Arrangement,
    kit: Kit,
    construction: LeafConstruction,
    seals: Sequence[Seal],
) -> tuple[LeafHardware, ...]:
    """Mass, hanger loads and forces of every leaf of the arrangement."""
    asked = any(part.key == "soft-close" for part in arrangement.parts)
    close = kit.soft_close if asked else None
    running = Running(
        soft_close_force=close.force if close else 0.0,
        leaf_mass_limit=kit.leaf_mass_most,
        soft_close_mass_limit=close.mass_most if close else None,
        soft_close_speed_limit=close.speed_most if close else None,
        soft_close_energy_limit=close.energy_most if close else None,
    )
    by_key = {seal.key: seal for seal in seals}
    answers = []
    for number, leaf in enumerate(arrangement.leaves):
        hangers = hangers_of(kit, leaf.width)
        given = Leaf(
            name=leaf.name,
            width=leaf.width,
            height=leaf.height,
            surface_density=construction.surface_density,
            handle_below_track=arrangement.heights.track_bottom - arrangement.heights.handle,
        )
        held = replace(running, drags=drags(job, arrangement, kit, leaf, by_key))
        answers.append(leaf_hardware(given, hangers, held, number))
    return tuple(answers)


def drags(
    job: Job, arrangement: Arrangement, kit: Kit, leaf: FitLeaf, seals: Mapping[str, Seal]
) -> tuple[Drag, ...]:
    """What holds one moving leaf back besides rolling and soft close.

    The kit's own brushes, then the seals wished for, each by the length it drags on: at a mouth
    both faces over the leaf's height, at the head both faces over what stands in the opening, on
    the floor the whole bottom edge, in the closing jamb both faces, where a pair meets one edge.
    A figure for the whole leaf in the job file takes the place of the wished seals' ranges.
    """
    middle = arrangement.heights.track_bottom - leaf.top + leaf.height / 2
    found = []
    if kit.built_in_drag is not None:
        own = kit.built_in_drag
        found.append(Drag("the kit's own brushes", own.least, own.most, middle,
                          rule=message("the kit's datasheet"),
                          source=f"catalogue: {kit.id}"))  # fmt: skip
    wished = job.wishes.seals
    if wished.drag is not None:
        found.append(Drag("all seals", wished.drag.low, wished.drag.high, middle,
                          rule=message("as given in wishes.seals.drag"),
                          source=OWN_FIGURE))  # fmt: skip
        return tuple(found)
    for place, (length, depth) in _seal_lengths(arrangement, leaf, middle).items():
        seal = seals.get(getattr(wished, place))
        if seal is None or length <= 0:
            continue
        found += _of_seal(seal, place, length, depth)
    return tuple(found)


def force_with(
    job: Job, arrangement: Arrangement, kit: Kit, construction: LeafConstruction, stock: Catalogue
) -> dict[str, tuple[float, float]]:
    """The force that moving a leaf takes with the seals of each offer, by the offer's key."""
    wished, found = job.wishes.seals, {}
    for offer in stock.sound_offers:
        if offer.changes != "seals":
            continue
        sealed = wished.model_copy(update={**dict(offer.seals), "drag": None})
        wishes = job.wishes.model_copy(update={"seals": sealed})
        with_it = job.model_copy(update={"wishes": wishes})
        hung = hang(with_it, arrangement, kit, construction, stock.seals)
        low, high = (max(leaf.force[end] for leaf in hung) for end in (0, 1))
        found[offer.key] = (low, high)
    return found


def _seal_lengths(
    arrangement: Arrangement, leaf: FitLeaf, middle: float
) -> dict[str, tuple[float, float]]:
    """Length (mm) that a seal of each place drags on at its most, and how far below the track."""
    opening = arrangement.opening
    seen = leaf.closed.shared(opening)
    pair = len(arrangement.leaves) > 1
    foot = arrangement.heights.track_bottom - leaf.bottom
    return {
        "mouth": (2 * leaf.height, middle),
        "head": (2 * seen, 0.0),
        "floor": (leaf.width, foot),
        "jamb": (0.0 if pair else 2 * leaf.height, middle),
        "meeting": (leaf.height if pair else 0.0, middle),
    }


def _of_seal(seal: Seal, place: str, length: float, depth: float) -> list[Drag]:
    """A seal's drag, and what it takes to press it home, where it has either."""
    when: When = "closed" if place in ("jamb", "meeting") else "moving"
    kinds: tuple[tuple[Range, When], ...] = ((seal.drag, when), (seal.press, "pressed"))
    return [
        Drag(
            f"{place}: {seal.name.lower()}" + (", pressed home" if kind == "pressed" else ""),
            force.least * length / 1000,
            force.most * length / 1000,
            depth,
            kind,
            message(f"{amounts(force.least, force.most, 'N/m', 0)} x {said(length)}"),
            seal.drag_source,
        )
        for force, kind in kinds
        if force.most > 0
    ]


def unknown_seals(job: Job, catalogue: Catalogue) -> tuple[Finding, ...]:
    """A seal that is wished for and that nobody sells."""
    known = tuple(seal.key for seal in catalogue.seals)
    return tuple(
        Finding(
            Severity.STOP,
            f"wishes.seals.{place}",
            f"there is no seal {wished!r} in the catalogue",
            nearest(wished, ("none", *known)),
            "the catalogue",
        )
        for place in SEAL_PLACES
        if (wished := getattr(job.wishes.seals, place)) != "none" and wished not in known
    )


def hangers_of(kit: Kit, width: float, raised: tuple[float, float] = (0.0, 0.0)) -> Hangers:
    """A leaf's two hangers, with what their bolts have left once it has been raised (mm)."""
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
    to_come: float,
    gaps: Mapping[str, tuple[float, float]],
    meeting: MeetingGaps | None = None,
) -> HangingAdjustment:
    """Which hanger bolts to turn, from gaps read under closed leaves.

    `gaps` gives for a leaf's name the gap under its leading and its trailing bottom corner, mm,
    over the floor as it is on the day of reading: `to_come` is what of the finished floor is not
    laid yet (0 once it is down). Each should be the hung height over that floor. Raises
    HardwareError for a leaf that is not there, and for readings that can't be.
    """
    names = [leaf.name for leaf in arrangement.leaves]
    for name in gaps:
        if name not in names:
            raise HardwareError(f"leaf {name!r}: there is none; write one of {', '.join(names)}")
    hung = []
    for leaf in arrangement.leaves:
        read = gaps.get(leaf.name)
        laid = arrangement.floor_to_come - to_come
        want = [gap - laid for gap in wanted_gaps(leaf, floor)]
        hung.append(
            LeafAsHung(
                name=leaf.name,
                width=leaf.width,
                height=leaf.height,
                hangers=hangers_of(kit, leaf.width),
                gaps=EdgeGaps(read[0], read[1], want[0], want[1], floor_to_come=to_come)
                if read
                else EdgeGaps(),
            )
        )
    return hang_true(hung, meeting)


def wanted_gaps(leaf: FitLeaf, floor: Profile) -> tuple[float, float]:
    """The gap (mm) under the leading and the trailing bottom corner of a closed leaf that hangs
    true, over the floor as it was read."""
    leftward = leaf.pocket == "left"
    ends = (leaf.closed.high, leaf.closed.low) if leftward else (leaf.closed.low, leaf.closed.high)
    return leaf.bottom - floor.z(ends[0]), leaf.bottom - floor.z(ends[1])
