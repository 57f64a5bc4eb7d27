"""What must a person know of the head that the track hangs from, and of the other way?"""

from __future__ import annotations

from collections.abc import Iterator

from truehang.amounts import amount
from truehang.figures import Figure
from truehang.findings import Change, Finding, Severity
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import Measured
from truehang.money import Money
from truehang.plan.carry import LEAST_HEAD, PRACTICE, Lightest
from truehang.plan.over_model import PACK_MOST, HeadWay, OverOpening, There, stiffness

GEOMETRY = "geometry of the arrangement"
DISAGREE = 10.0
"""How far the underside that was read may be off the measured head, mm (common practice, no
source)."""
HELD_BY = {"own": "a new head of its own", "existing": "what is over the opening"}


def findings_of(
    job: Job,
    measured: Measured,
    bears: bool,
    over: OverOpening,
    there: There | None,
    lower: float | None,
) -> Iterator[Finding]:
    """All of it; `lower` is the clear height (mm) under which a new head would go in."""
    wish, own = job.wishes.head, over.ways[0]
    if wish == "existing" and over.way == "own":
        yield _no_such_way("there is nothing over the opening to hang from", "own")
    if wish == "own" and over.way == "existing":
        yield _no_such_way(str(own.why_not), "any")
    if over.way == "own" and over.room < LEAST_HEAD:
        yield _no_room(job, own, lower)
    yield _both_ways(over)
    if over.way == "existing" and there is not None:
        yield from _of_what_is_there(job, there, own, lower)
        yield from _cautions(job, bears, there, own)
        yield from _capacity(job, there)
    yield from underside_lower(job, measured)
    yield from _sags(over)


def _no_room(job: Job, own: HeadWay, lower: float | None) -> Finding:
    """Nothing to hang from, and no room for a new head: nothing can be built."""
    wished = job.wishes.clear_height is not None
    lead = "wish for a lower clear height" if wished else "take a lower leaf"
    return Finding(
        Severity.STOP,
        "wishes.clear_height" if wished else "wall.over",
        f"nothing is there that the track can hang from, and a new head is not possible: "
        f"{own.why_not}",
        f"set wishes.clear_height to {said(lower)}"
        if lower is not None
        else f"{lead}, lighter leaves or a narrower door",
        GEOMETRY,
        changes=() if lower is None else (Change("wishes.clear_height", lower),),
    )


def _both_ways(over: OverOpening) -> Finding:
    """Which way is planned, and what each other would come to."""
    plan, others = over.planned, [one for one in over.ways if one.way != over.way]
    parts = [f"the track hangs from {HELD_BY[over.way]}{_sizes(plan, plan.option)}"]
    for one in others:
        held = HELD_BY.get(one.way)
        if held is None:
            parts.append(
                f"{one.name}{_sizes(one, plan.option)}"
                if one.possible
                else f"{one.name} is not possible: {one.why_not}"
            )
        elif one.possible:
            parts.append(f"from {held} it would be{_sizes(one, plan.option)}")
        else:
            parts.append(f"{held} is not possible: {one.why_not}")
    mend = "wishes.head chooses: own, existing or any"
    if any(one.possible and one.way in ("replace", "beside") for one in others):
        mend += (
            "; a head in its place or beside it is the engineer's to draw where the wall carries "
            "load: once it is in, write wall.over as it then is, and its own readings"
        )
    return Finding(Severity.NOTE, "wishes.head", "; ".join(parts), mend, PRACTICE)


def _of_what_is_there(
    job: Job, there: There, own: HeadWay, lower: float | None
) -> Iterator[Finding]:
    changes: tuple[Change, ...] = ()
    other = ""
    if own.possible and job.wishes.head != "own":
        other = f", or set wishes.head to own{_sizes(own, there.way.option)}"
        changes = (Change("wishes.head", "own"),)
    elif lower is not None:
        other = f", or lower wishes.clear_height to {said(lower)}, so that a new head goes in"
    need = there.need.choice.member.name if there.need else "more than is sold here"
    span = f"over {said(there.way.span)}"
    if there.way.verdict == "unknown":
        yield Finding(
            Severity.HOLD,
            "wall.over",
            f"the track is to hang from what is over the opening, and what that is is not "
            f"known; {span} it must be at least as stiff as {need}"
            f"{_ei(there.need)}, beside what it carries already",
            f"open it up and give wall.over (kind, depth and breadth; of steel its inertia){other}",
            PRACTICE,
            changes=changes,
            before="order",
        )
    elif there.way.verdict == "too soft" and there.movement is not None:
        yield Finding(
            Severity.HOLD,
            "wall.over",
            f"{there.way.member} goes down {said(there.movement.deflection, 1)} under the "
            f"leaves {span}; {said(there.movement.limit, 1)} is the most, and it must be at "
            f"least as stiff as {need}{_ei(there.need)}",
            f"have it stiffened{other}",
            PRACTICE,
            changes=changes,
            before="order",
        )


def _capacity(job: Job, there: There) -> Iterator[Finding]:
    """What an engineer gave that may be hung from it, against what hangs there."""
    given = job.wall.over.capacity
    if given is None:
        return
    weighs = f"leaves, lining and track weigh {amount(there.load, 'kN', 2)}"
    source = f"{given.who}, {given.document}"
    if there.load > given.load:
        yield Finding(
            Severity.HOLD,
            "wall.over.capacity",
            f"{weighs}, and what is over the opening may take {amount(given.load, 'kN', None)} "
            f"beside what it carries already: {amount(there.load - given.load, 'kN', 2)} too much",
            "take lighter leaves, set wishes.head to own, or ask the engineer again with this "
            "weight",
            source,
            before="order",
        )
        return
    yield Finding(
        Severity.NOTE,
        "wall.over.capacity",
        f"{weighs}, {100 * there.load / given.load:.0f} % of the "
        f"{amount(given.load, 'kN', None)} that what is over the opening may take beside what it "
        "carries already",
        "show the engineer this weight, and how the frame is fixed, before it is hung",
        source,
    )


def _cautions(job: Job, bears: bool, there: There, own: HeadWay) -> Iterator[Finding]:
    given = job.wall.over
    if there.member is not None and there.timber and there.timber.code != given.grade:
        yield Finding(
            Severity.WARN,
            "wall.over.grade",
            f"the grade of what is over the opening is not known: {there.timber.code}, the "
            "least stiff sold here, was reckoned, as if it were sound timber",
            "look for a mark, rot and borers; of concrete or masonry ask the engineer",
            PRACTICE,
        )
    if bears:
        yield Finding(
            Severity.WARN,
            "wall.over",
            "what is over the opening counts as carrying load: it goes on moving with that "
            "load, and the floor gap with it; only the leaves' share is reckoned",
            "pack nothing tight between it and the ribs"
            if given.capacity is not None
            else "have an engineer say that it may carry the leaves too, and give what it may take "
            "as wall.over.capacity; pack nothing tight between it and the ribs",
            PRACTICE,
        )
    if given.kind == "steel":
        yield Finding(
            Severity.WARN,
            "wall.over",
            "frame screws do not hold in steel",
            "have a timber packer bolted to it as its engineer says, and fix the frame to that",
            PRACTICE,
        )
    packing = there.way.packing or 0.0
    if packing > PACK_MOST:
        yield Finding(
            Severity.WARN,
            "wall.over",
            f"the frame is packed down {said(packing)} from what is over it",
            "pack solid over the whole head, fixed through to what is there"
            + (", or set wishes.head to own" if own.possible else ""),
            PRACTICE,
        )


def underside_lower(job: Job, measured: Measured) -> Iterator[Finding]:
    """Do the readings of its underside agree with the head that was measured?"""
    read, usable = job.wall.over.underside, measured.usable
    if not read or usable is None or job.wall.situation != "fill-opening":
        return
    lowest = min(read, key=lambda one: one.z)
    off = lowest.z - usable.head
    if abs(off) > DISAGREE:
        yield Finding(
            Severity.WARN,
            "wall.over.underside",
            f"its underside reads {said(lowest.z, 1)} at its lowest, at x {said(lowest.x)}; the "
            f"heights of the opening end at {said(usable.head, 1)}, {said(abs(off), 1)} "
            f"{'over it' if off < 0 else 'under it'}: the lower of the two was kept to",
            "read both again, the underside up from the level datum and not from the floor, and "
            "the heights to what is really in the way: heights of the opening and "
            "wall.over.underside",
            PRACTICE,
        )


def nothing_under(job: Job, measured: Measured) -> Iterator[Finding]:
    """Nothing fits, and it is what is over the opening that is in the way."""
    read, usable = job.wall.over.underside, measured.usable
    if not read:
        return
    yield from underside_lower(job, measured)
    lowest = min(read, key=lambda one: one.z)
    if usable is not None and lowest.z > usable.head - DISAGREE:
        return
    kind = job.wall.over.kind
    yield Finding(
        Severity.STOP,
        "wall.over.underside",
        f"no leaf goes in under the {kind if kind != 'unknown' else 'head'} over the opening: its "
        f"underside reads {said(lowest.z, 1)} at x {said(lowest.x)}",
        "read it again, up from the level datum; if it is right, it has to be replaced by a "
        "higher one before a door goes in",
        GEOMETRY,
    )


def _sags(over: OverOpening) -> Iterator[Finding]:
    if over.sag > 0.5:
        yield Finding(
            Severity.NOTE,
            "wall.over.underside",
            f"its underside is {said(over.sag, 1)} out of level: the frame's head stays level, and "
            "the packing over it takes up the difference",
            "read the underside at each fixing on site: the packing told for each runs straight "
            "from reading to reading"
            if over.packs
            else "measure the packing at each fixing on site",
            PRACTICE,
        )


def _no_such_way(why: str, value: str) -> Finding:
    return Finding(
        Severity.WARN,
        "wishes.head",
        f"what is wished for can't be had: {why}",
        f"set wishes.head to {value}",
        PRACTICE,
        changes=(Change("wishes.head", value),),
    )


def _ei(need: Lightest | None) -> str:
    return f" (EI {amount(stiffness(need.choice.member), 'kN m2', 0)})" if need else ""


def _sizes(way: HeadWay, beside: str) -> str:
    """Leaf height, what is needed and price of a way, as words after it; and its kit and leaf where
    they are others than those `beside` it."""
    if way.leaf_height is None or way.price_minor is None:
        return ""
    price = Money(way.price_minor, way.currency)
    what = f"{way.member}, leaf" if way.way == "own" else "leaf"
    kit = f"{way.option}: " if beside not in ("", way.option) else ""
    bought = "frame, leaves and head" if way.way == "own" else "frame and leaves"
    return f" ({kit}{what} {said(way.leaf_height)} high, {bought} {price})"


def figures_of(over: OverOpening, there: There | None) -> tuple[Figure, ...]:
    made = [
        Figure("over.room", "room over the rough head", over.room, "mm",
               "what is over the opening, or the plate under the ceiling, less the rough head",
               ("fit.leaf_height", "job:wall.over"), GEOMETRY)
    ]  # fmt: skip
    inputs = ("fit.leaf_height", "job:wall.over", "job:wishes.head")
    for one in over.ways:
        if one.leaf_height is None or one.price_minor is None:
            continue
        name = HELD_BY.get(one.way)
        name = one.name if name is None else f"hung from {name}"
        made += [
            Figure(f"over.{one.way}.leaf_height", f"leaf height, {name}",
                   one.leaf_height, "mm", "room over the leaf, less the head that goes in",
                   inputs, GEOMETRY),
            Figure(f"over.{one.way}.price_minor", f"frame, leaves and head, {name}",
                   one.price_minor, f"minor units of {one.currency}",
                   "frame + leaves + the head that goes in", inputs, "the catalogue"),
        ]  # fmt: skip
    if there is not None:
        made.append(
            Figure("over.load", "what leaves, lining and track weigh on what they hang from",
                   round(there.load, 3), "kN", f"(leaves + {amount(12, 'kg/m', 0)} of span) x 9.81",
                   ("fit.opening", "job:wall.over"), PRACTICE)
        )  # fmt: skip
    if over.way == "existing" and there is not None and there.need is not None:
        made += _needed(there, there.need)
    return tuple(made)


def _needed(there: There, need: Lightest) -> list[Figure]:
    """What is there must at least be this, by name and as a stiffness."""
    made = [
        Figure("over.needed", "what is over the opening must be at least as stiff as",
               need.choice.member.name, "",
               "lightest sawn section on edge that keeps the limits of deflection over the span",
               ("over.span", "job:job.region"), PRACTICE),
        Figure("over.needed_stiffness", "its stiffness must be at least (E x I)",
               round(stiffness(need.choice.member), 1), "kN m2", "E x b x d^3 / 12",
               ("over.needed",), "strength of materials"),
        Figure("over.span", "span that what is there is reckoned over", there.way.span, "mm",
               "from old jamb to old jamb where it carries load, else from mouth to mouth",
               ("fit.opening", "job:wall.evidence"), PRACTICE),
    ]  # fmt: skip
    if there.movement is not None:
        made.append(
            Figure("over.deflection", "what is there goes down under the leaves by",
                   there.movement.deflection, "mm", "lining and leaves on it, worst of all places",
                   ("over.span", "job:wall.over"), "strength of materials")
        )  # fmt: skip
    return made
