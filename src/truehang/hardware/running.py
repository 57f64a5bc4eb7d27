"""What does the leaf weigh, what does each hanger carry, and how hard is the leaf to move?"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from truehang.amounts import amount
from truehang.catalogue.leaves import GLASS_PER_MM
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.hardware.inputs import Drag, Hangers, HardwareError, Leaf, Running, When
from truehang.hardware.results import LeafHardware
from truehang.rule import Given, Rule

GRAVITY = 9.81
MASS_SOURCE = (
    "area x surface density; glass 2.5 kg/m2 per mm (from memory: 2500 kg/m3; check EN 572-1)"
)
ROLLING_SOURCE = "common practice, no source: rolling 0.01 to 0.02 of the weight"
STATICS = "statics of a stiff leaf on two hangers"
KIT_SOURCE = "the kit's own limits"
MEANS = {
    "M": "mass of the leaf, kg",
    "x": "centre of mass from the leading edge",
    "l": "leading hanger from the leading edge",
    "t": "trailing hanger from the leading edge",
    "A": "load on the leading hanger",
    "B": "load on the trailing hanger",
    "k": "share of the weight that rolling takes",
    "q": "soft close, N",
    "d": "seals that drag, N",
    "S": "force",
    "v": "speed of the leaf as it closes, m/s",
    "E": "energy",
}
LEADING_LOAD = Rule("A = 9.81M × (t - x)/(t - l)", MEANS)
TRAILING_LOAD = Rule("B = 9.81M - A", MEANS)
STARTING_FORCE = Rule("S = k × 9.81M + q + d", MEANS)
SLIDING_FORCE = Rule("S = k × 9.81M + d", MEANS)
CLOSING_ENERGY = Rule("E = M × v^2/2", MEANS)


def leaf_hardware(leaf: Leaf, hangers: Hangers, running: Running, number: int = 0) -> LeafHardware:
    """Mass, hanger loads and forces of one leaf.

    A hand pushes at the handle, well below the track, so the pull tips the leaf: it takes load off
    the hanger ahead and puts it on the one behind. `number` tells leaves of one job apart in the
    figures' keys. Raises HardwareError when the hangers don't lie on the leaf.
    """
    if hangers.trailing > leaf.width:
        raise HardwareError(
            f"leaf {leaf.name}.hangers.trailing: {hangers.trailing:g} lies off the leaf "
            f"({leaf.width:g} wide); measure from the leading edge"
        )
    mass, centre = mass_and_centre(leaf)
    weight = mass * GRAVITY
    spacing = hangers.trailing - hangers.leading
    on_leading = LEADING_LOAD(M=mass, x=centre, l=hangers.leading, t=hangers.trailing)
    standing = (on_leading, TRAILING_LOAD(M=mass, A=on_leading))
    below = leaf.height / 2.0 if leaf.handle_below_track is None else leaf.handle_below_track
    rolling = (running.rolling_low * weight, running.rolling_high * weight)
    close = running.soft_close_force
    sliding = _Effort.of(rolling, running.drags, "moving")
    starting = _Effort.of(rolling, running.drags, "moving", "closed", also=close)
    closing = _Effort.of(rolling, running.drags, "moving", "closed", "pressed")
    shifted_closing = _shifts((sliding, closing), below, spacing)
    shifted_opening = _shifts((sliding, starting), below, spacing)
    result = LeafHardware(
        name=leaf.name,
        mass=mass,
        centre=centre,
        standing=standing,
        most=(
            standing[0] + max(shifted_opening[1], -shifted_closing[0]),
            standing[1] + max(shifted_closing[1], -shifted_opening[0]),
        ),
        least=(
            standing[0] - max(shifted_closing[1], -shifted_opening[0]),
            standing[1] - max(shifted_opening[1], -shifted_closing[0]),
        ),
        drags=running.drags,
        starting_force=starting.force,
        sliding_force=sliding.force,
        closing_force=closing.force,
        closing_energy=CLOSING_ENERGY(M=mass, v=running.closing_speed),
        energy_limit=_energy_limit(running),
        figures=(),
        findings=(),
    )
    return LeafHardware(
        **{name: getattr(result, name) for name in result.__slots__[:-2]},
        figures=_figures(result, hangers, running, number),
        findings=tuple(_findings(result, running)),
    )


@dataclass(frozen=True, slots=True)
class _Effort:
    """A push (N, low and high) and the moments about the track of what holds the leaf back below
    it (N mm, low and high)."""

    force: tuple[float, float]
    moment: tuple[float, float]

    @classmethod
    def of(
        cls, rolling: tuple[float, float], drags: tuple[Drag, ...], *when: When, also: float = 0.0
    ) -> _Effort:
        acting = [drag for drag in drags if drag.when in when]
        return cls(
            (
                rolling[0] + also + sum(drag.low for drag in acting),
                rolling[1] + also + sum(drag.high for drag in acting),
            ),
            (
                sum(drag.low * drag.below for drag in acting),
                sum(drag.high * drag.below for drag in acting),
            ),
        )


def _shifts(efforts: Iterable[_Effort], below: float, spacing: float) -> tuple[float, float]:
    """What the hand moves from the hanger ahead to the one behind, least and most (N): the push
    times its depth less what drags below the track; 0 is among them, before the hand is there."""
    each = [0.0]
    for effort in efforts:
        each += [
            (force * below - moment) / spacing
            for force, moment in zip(effort.force, effort.moment, strict=True)
        ]
    return min(each), max(each)


def mass_and_centre(leaf: Leaf) -> tuple[float, float]:
    """Mass (kg) and centre of mass from the leading edge (mm)."""
    parts = [(leaf.width * leaf.height * 1e-6 * leaf.surface_density, leaf.width / 2.0)]
    for pane in leaf.panes:
        x = leaf.width / 2.0 if pane.x is None else pane.x
        area = pane.width * pane.height * 1e-6
        parts.append((area * (pane.thickness * GLASS_PER_MM - leaf.surface_density), x))
    parts.append((leaf.fittings_mass, leaf.fittings_x))
    mass = sum(part for part, _ in parts)
    if mass <= 0.0:
        raise HardwareError(
            f"leaf {leaf.name}.panes: the panes cover more than the leaf; measure them again"
        )
    return mass, sum(part * x for part, x in parts) / mass


def _energy_limit(running: Running) -> float | None:
    """The kit's energy limit, or that of its heaviest leaf at its fastest arrival."""
    if running.soft_close_energy_limit is not None:
        return running.soft_close_energy_limit
    mass, speed = running.soft_close_mass_limit, running.soft_close_speed_limit
    return None if mass is None or speed is None else CLOSING_ENERGY(M=mass, v=speed)


def _figures(
    leaf: LeafHardware, hangers: Hangers, running: Running, number: int
) -> tuple[Figure, ...]:
    key = f"hardware.{number}"
    kit = "catalogue:kits"
    mass = Given(leaf.mass, f"{key}.mass", "kg")
    drags = _drag_figures(leaf, key)
    return (
        *drags,
        Figure(
            f"{key}.mass", f"Mass of {leaf.name}", leaf.mass, "kg",
            "area x surface density + glass + fittings",
            ("fit.leaf_width", "fit.leaf_height", "catalogue:leaves"), MASS_SOURCE,
        ),
        LEADING_LOAD.figure(
            f"{key}.leading_load", f"{leaf.name}: load on the leading hanger, standing",
            {
                "M": mass, "x": Given(leaf.centre, ""), "l": Given(hangers.leading, kit),
                "t": Given(hangers.trailing, kit),
            },
            STATICS, unit="N",
        ),
        TRAILING_LOAD.figure(
            f"{key}.trailing_load", f"{leaf.name}: load on the trailing hanger, standing",
            {"M": mass, "A": Given(leaf.standing[0], f"{key}.leading_load", "N")},
            STATICS, unit="N",
        ),
        Figure(
            f"{key}.most_load", f"{leaf.name}: most on one hanger while moving", max(leaf.most),
            "N", "standing load, and what a push at the handle tips onto the hanger behind",
            (f"{key}.leading_load", f"{key}.trailing_load", f"{key}.starting_force"), STATICS,
        ),
        *_force_figures(leaf, running, key, tuple(figure.key for figure in drags)),
        CLOSING_ENERGY.figure(
            f"{key}.closing_energy",
            f"{leaf.name}: energy "
            + ("the soft close takes up" if running.soft_close_force else "that it closes with"),
            {"M": mass, "v": Given(running.closing_speed, "", "m/s")},
            "mechanics; the speed is common practice, no source", unit="J",
        ),
    )  # fmt: skip


def _force_figures(
    leaf: LeafHardware, running: Running, key: str, drags: tuple[str, ...]
) -> tuple[Figure, ...]:
    """What it takes to start, keep and close the leaf: the high end of each."""
    rolling = {
        "M": Given(leaf.mass, f"{key}.mass", "kg"),
        "k": Given(running.rolling_high, "", ""),
    }
    behind = ("catalogue:kits", *drags)

    def dragging(*when: When) -> Given:
        return Given(sum(drag.high for drag in leaf.drags if drag.when in when), "", "N")

    close = Given(running.soft_close_force, "catalogue:kits", "N")
    return (
        STARTING_FORCE.figure(
            f"{key}.starting_force", f"{leaf.name}: force to start it open, at most",
            {**rolling, "q": close, "d": dragging("moving", "closed")},
            ROLLING_SOURCE, unit="N", behind=behind,
        ),
        STARTING_FORCE.figure(
            f"{key}.bare_force", f"{leaf.name}: force to start it before seals go in, at most",
            {**rolling, "q": close, "d": Given(0.0, "", "N")},
            ROLLING_SOURCE, unit="N", behind=("catalogue:kits",),
        ),
        SLIDING_FORCE.figure(
            f"{key}.sliding_force", f"{leaf.name}: force to keep it sliding, at most",
            {**rolling, "d": dragging("moving")}, ROLLING_SOURCE, unit="N", behind=behind,
        ),
        SLIDING_FORCE.figure(
            f"{key}.closing_force", f"{leaf.name}: force to close it, at most",
            {**rolling, "d": dragging("moving", "closed", "pressed")},
            ROLLING_SOURCE, unit="N", behind=behind,
        ),
    )  # fmt: skip


def _drag_figures(leaf: LeafHardware, key: str) -> tuple[Figure, ...]:
    """What each seal holds back: its high end, with the low one in the words."""
    return tuple(
        Figure(
            f"{key}.drag.{re.sub(r'[^a-z0-9]+', '-', drag.place.lower()).strip('-')}",
            f"{leaf.name}: {drag.place}, {_WHEN[drag.when]}, from {amount(drag.low, 'N')}, at most",
            drag.high, "N", drag.rule, ("job:wishes.seals", "catalogue:seals"), drag.source,
        )
        for drag in leaf.drags
    )  # fmt: skip


_WHEN: dict[When, str] = {
    "moving": "all the way",
    "closed": "in and out of the closed place",
    "pressed": "to press it home",
}


def _findings(leaf: LeafHardware, running: Running) -> list[Finding]:
    where = leaf.name
    limit = running.leaf_mass_limit
    checks = (
        (
            limit is not None and leaf.mass > limit, Severity.STOP,
            f"the leaf is {amount(leaf.mass, 'kg')}; the kit's hangers take "
            f"{amount(limit or 0, 'kg', None)}",
            "choose a lighter leaf or a kit with stronger hangers", KIT_SOURCE,
        ),
        (
            limit is not None and leaf.mass <= limit
            and max(leaf.standing) > limit * GRAVITY / 2.0, Severity.WARN,
            f"one hanger takes {amount(max(leaf.standing), 'N', 0)}, more than its half of the "
            f"kit's {amount(limit or 0, 'kg', None)}",
            "set the hangers evenly about the centre of mass", KIT_SOURCE,
        ),
        (
            min(leaf.least) < 0.0, Severity.WARN,
            "a push at the handle lifts one hanger off the track",
            "set the hangers further apart, or fit hangers that can't jump", STATICS,
        ),
        (
            leaf.energy_limit is not None and leaf.closing_energy > leaf.energy_limit,
            Severity.WARN,
            f"at {amount(running.closing_speed, 'm/s', None)} the leaf brings "
            f"{amount(leaf.closing_energy, 'J')}; the soft close takes "
            f"{amount(leaf.energy_limit or 0, 'J')}",
            "a stronger soft close or a lighter leaf", KIT_SOURCE,
        ),
        (
            running.soft_close_mass_limit is not None
            and leaf.mass > running.soft_close_mass_limit,
            Severity.WARN,
            f"the leaf is {amount(leaf.mass, 'kg')}; the soft close takes "
            f"{amount(running.soft_close_mass_limit or 0, 'kg', None)}",
            "a stronger soft close or a lighter leaf", KIT_SOURCE,
        ),
    )  # fmt: skip
    return [
        Finding(severity, where, what, mend, source)
        for applies, severity, what, mend, source in checks
        if applies
    ]
