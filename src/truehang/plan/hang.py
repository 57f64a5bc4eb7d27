"""What does the hardware room get: each leaf, its hangers, how it runs and what the kit allows?"""

from __future__ import annotations

from truehang.catalogue.access import AccessRuleSet
from truehang.catalogue.kits import Kit
from truehang.catalogue.leaves import LeafConstruction
from truehang.fit import Arrangement
from truehang.hardware import Hangers, Leaf, LeafHardware, Running, leaf_hardware

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
    half = kit.hanging_range / 2
    answers = []
    for number, leaf in enumerate(arrangement.leaves):
        hangers = Hangers(
            leading=kit.hanger_inset,
            trailing=leaf.width - kit.hanger_inset,
            pitch=kit.thread_pitch,
            up_left=(half, half),
            down_left=(half, half),
        )
        given = Leaf(
            name=leaf.name,
            width=leaf.width,
            height=leaf.height,
            surface_density=construction.surface_density,
            handle_below_track=arrangement.heights.track_bottom - arrangement.heights.handle,
        )
        answers.append(leaf_hardware(given, hangers, running, number))
    return tuple(answers)
