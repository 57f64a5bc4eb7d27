"""What is this pack for, what will be built, and what may hurt someone? The first page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Banner, Block, Bullets, Facts, Text
from truehang.pack.printing import Printing
from truehang.pack.sections.findings import tally
from truehang.pack.sections.order import frame_size, rough_size
from truehang.structure import WallState

if TYPE_CHECKING:
    from truehang.fit import Arrangement
    from truehang.plan import Plan

TWO_PEOPLE_KG = 25.0
"""A leaf heavier than this is lifted by two, whatever one person says they lift."""


def defer(printing: Printing) -> str:
    """Who and what rules over the pack."""
    return (
        "This pack is worked out from the readings given. It is not an approval, a certificate or "
        "an engineer's design. Local codes, the datasheets of what you buy, and those who are "
        f"licensed or in charge (builder, engineer, electrician, plumber, "
        f"{printing.word('certifier')}) rule over everything in it."
    )


_LOAD = {
    WallState.TREATED: "Treated as load-bearing until the wall is opened, looked at and recorded. "
    "No stud comes out before that; props and head are the engineer's business.",
    WallState.CARRIES: "This wall carries load. Props before studs; the head is the engineer's to "
    "design, and sizes in this pack are preliminary.",
}
_BUILT = {
    "fill-opening": "in the old opening",
    "beside-opening": "beside the old opening, in the place of the old door",
    "new-opening": "in a new opening",
    "new-wall": "in a new wall",
}
_KIND = {
    "single-left": "One leaf that slides left into its pocket",
    "single-right": "One leaf that slides right into its pocket",
    "pair": "A pair of leaves that meet, each with its own pocket",
}


def subtitle(plan: Plan) -> str:
    """One line: what will be built."""
    made = plan.arrangement
    where = _BUILT[plan.job.wall.situation]
    if made is None:
        return f"Pocket sliding door {where}: nothing fits yet, see Findings"
    return f"{_KIND[made.kind]}, {where}. {made.option.kit_name}; {made.option.leaf_name}."


def blocks(plan: Plan, printing: Printing) -> tuple[Block, ...]:
    """The cover under the title: stop banner, key sizes, what was found, cautions."""
    out: list[Block] = []
    if plan.standing.draft:
        out.append(Banner(f"{plan.standing.headline}. See Findings."))
    if plan.arrangement is not None:
        out.append(_sizes(plan.arrangement, printing))
    found = tally(plan.findings)
    out.append(Text(f"Findings: {found}." if found else "Findings: none.", tone="strong"))
    if plan.job.job.invented:
        out.append(Text("The data of this job are invented. Catalogue entries and prices are too."))
    else:
        out.append(
            Text(
                "Kits, parts and prices of the shipped catalogue are invented: check each size "
                "against the datasheet of what you buy before you order."
            )
        )
    if plan.job.job.note:
        out.append(Text(plan.job.job.note))
    out.append(Text("Cautions", tone="strong"))
    out.append(Bullets(cautions(plan, printing)))
    out.append(Text(defer(printing)))
    return tuple(out)


def _still_to_come(made: Arrangement, printing: Printing) -> str:
    """Of the finished floor, what lies over the level line's own floor only later."""
    come = made.floor_to_come
    return f", {printing.fine(come)} of it still to come" if come else ""


def _sizes(made: Arrangement, printing: Printing) -> Facts:
    option = made.option
    width, height, thickness = made.leaf_order_size
    count = len(made.leaves)
    unit = "\u00a0mm" if printing.style == "mm" else ""
    return Facts(
        (
            (
                "Clear passage, leaves open" if count > 1 else "Clear passage, leaf open",
                f"{printing.between(made.passage.low, made.passage.high)}{unit}",
                f"clear height {_over_floor(made, printing)}{unit} over the finished floor",
            ),
            (
                "Rough opening",
                f"{rough_size(made, printing)}{unit}",
                "width × height, from the lowest floor under a support",
            ),
            ("Frame", f"{frame_size(made, printing)}{unit}", "width × height"),
            (
                f"Leaf, {count} off",
                printing.size(width, height),
                f"{printing.fine(thickness)} thick, "
                f"{printing.quantity(option.leaf_mass, 'kg')} each",
            ),
            (
                "Finished floor, low to high",
                f"{printing.length(made.heights.floor_low, plus=True)} to "
                f"{printing.length(made.heights.floor_high, plus=True)}",
                f"from the level datum{_still_to_come(made, printing)}; level line at "
                f"{printing.length(made.heights.level_line, plus=True)}",
            ),
            (
                "Wall",
                printing.fine_measure(made.wall.thickness),
                f"stud {printing.fine(made.wall.stud)}, linings "
                f"{printing.fine(made.wall.lining_a)} and "
                f"{printing.fine(made.wall.lining_b)}",
            ),
        )
    )


def _over_floor(made: Arrangement, printing: Printing) -> str:
    return printing.between(made.heights.floor_high, made.heights.clear_head)


def cautions(plan: Plan, printing: Printing) -> tuple[tuple[str, str], ...]:
    """What applies to this job, as (lead, text)."""
    job = plan.job
    items: list[tuple[str, str]] = []
    if plan.bearing.state is not WallState.NOTHING:
        items.append(("Load.", _LOAD[plan.bearing.state]))
    services = ", ".join(sorted({printing.word(service.kind) for service in job.wall.services}))
    items.append(
        (
            "Cables and pipes.",
            (f"Seen in or on this wall: {services}. Others may be hidden. " if services else "")
            + f"Isolate and prove dead before opening up. {plan.region.licence_note}",
        )
    )
    if job.wall.built is None or job.wall.built < plan.region.hazard_year:
        when = f"Built {job.wall.built}" if job.wall.built is not None else "Year built not known"
        items.append(
            (
                "Asbestos and lead paint.",
                f"{when}: have linings, boards and paint tested before anything is stripped.",
            )
        )
    items.append(
        (
            f"{printing.word('plasterboard').capitalize()} and silica dust.",
            "Wet or extracted cutting, mask, sheeting, doors taped; clean up by vacuum.",
        )
    )
    items.extend(_leaf_cautions(plan, printing))
    items.extend(_rated(plan, printing))
    items.append(
        ("Small fingers.", "Keep children off until stops and buffers are set and proved.")
    )
    return tuple(items)


def _rated(plan: Plan, printing: Printing) -> list[tuple[str, str]]:
    wall = plan.job.wall
    said = (
        ("fire-rated", wall.fire_rated),
        ("acoustic-rated", wall.acoustic_rated),
        ("part of an escape route", wall.escape_route),
    )
    known = [name for name, is_so in said if is_so]
    unknown = [name for name, is_so in said if is_so is None]
    items = []
    if known:
        items.append(
            (
                "Rated wall.",
                f"This wall is {' and '.join(known)}: not without the "
                f"{printing.word('certifier')}.",
            )
        )
    if unknown:
        asked = " or ".join(unknown)
        items.append(
            (
                "Ask first.",
                f"Not known whether this wall is {asked}. If it is, call the "
                f"{printing.word('certifier')}.",
            )
        )
    return items


def _leaf_cautions(plan: Plan, printing: Printing) -> list[tuple[str, str]]:
    made = plan.arrangement
    if made is None:
        return []
    items = []
    mass = made.option.leaf_mass
    if mass > min(TWO_PEOPLE_KG, plan.job.site.lift):
        about = printing.quantity(mass, "kg", 0)
        items.append(("Heavy leaf.", f"About {about} each: two people, or a lifter."))
    if made.option.leaf_glass:
        items.append(("Glass.", "Safety glass to the local rule; gloves; two people."))
    return items
