"""What does the wall carry, how far does the head move, and what might hold it up?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.money import Money
from truehang.pack.content import Banner, Block, Bullets, Column, Facts, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing, number

if TYPE_CHECKING:
    from truehang.plan import Plan
    from truehang.plan.over_model import HeadWay, OverOpening
    from truehang.structure import Bearing, CheckedHead, HeadMovement, HeadSizing, TrackHeadChoice


_PROPPED = (
    "Until both faces are lined the ribs at the mouths can't hold its ends: prop them before a "
    "leaf hangs, as the build steps say."
)


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """The state of the wall, the head's movement, and any preliminary sizing; for the engineer of a
    wall that bears, what stands in it and the old opening."""
    blocks = _bearing(plan.bearing)
    if plan.head_movement is not None:
        blocks += _movement(plan.head_movement, printing)
    if plan.track_head is not None:
        blocks.append(_track(plan.track_head, printing))
        if any(step.key == "mouth-props" for step in plan.steps):
            blocks.append(Text(_PROPPED, tone="strong"))
    if plan.over is not None:
        blocks += _ways(plan.over, printing)
    if plan.unsized:
        blocks.append(Text(f"Head over the frame: not sized: {plan.unsized}.", tone="strong"))
    if plan.head_sizing is not None:
        blocks += _sizing(plan.head_sizing, printing)
    if plan.bearing.bears:
        blocks += album.only("framing-there")
    return (Section("Structure", tuple(blocks)),)


_VERDICTS = {
    "holds": "enough to hold the leaves, as far as the job file says what it is",
    "too soft": "too soft for the leaves",
    "too weak": "not given enough by the engineer for what hangs from it",
    "unknown": "not known: HOLD until somebody has looked",
}


def _ways(over: OverOpening, printing: Printing) -> list[Block]:
    """What the track hangs from, and what the other way would come to."""

    def row(way: HeadWay) -> tuple[str, ...]:
        planned = "planned" if way.way == over.way else ""
        name = way.name[:1].upper() + way.name[1:]
        if way.leaf_height is None or way.price_minor is None:
            return (name, planned, "not possible", "", "", "")
        least = "at least " if way.verdict == "unknown" else ""
        return (
            name,
            planned,
            f"{least}{way.member}",
            printing.length(way.span),
            printing.length(way.leaf_height),
            str(Money(way.price_minor, way.currency)),
        )

    blocks: list[Block] = [
        Table(
            columns=(
                Column("The track hangs from", share=1),
                Column("", strong=True),
                Column("Member", share=1),
                Column(f"Span {printing.unit}", "right"),
                Column(f"Leaf height {printing.unit}", "right"),
                Column("Frame, leaves, head", "right"),
            ),
            rows=tuple(row(way) for way in over.ways),
            title="What the track hangs from",
        )
    ]
    told = [(f"{one.name[:1].upper()}{one.name[1:]}:", str(line)) for one in over.ways
            for line in (*([one.why_not] if one.why_not else []), *one.clashes)]  # fmt: skip
    if told:
        blocks.append(Bullets(tuple(told)))
    if over.way == "existing":
        verdict = _VERDICTS[over.planned.verdict]
        blocks.append(Text(f"What is there is {verdict}. {_PRELIMINARY}", tone="strong"))
    return blocks


_PRELIMINARY = "Preliminary, for pricing and for the engineer: it is no approval."


def _bearing(bearing: Bearing) -> list[Block]:
    blocks: list[Block] = [Text(f"This wall: {bearing.state}.", tone="strong")]
    if bearing.hold:
        blocks.append(Banner("HOLD POINT: no stud comes out until what it carries is recorded."))
    reasons = [("", str(reason)) for reason in bearing.reasons]
    reasons += [("Contradiction:", str(words)) for words in bearing.contradictions]
    if reasons:
        blocks.append(Bullets(tuple(reasons)))
    return blocks


def _movement(head: HeadMovement, printing: Printing) -> list[Block]:
    facts = Facts(
        (
            (
                "Head moves at the hangers, at most",
                printing.fine_measure(head.deflection),
                f"limit {printing.fine_measure(head.limit)} over a span of "
                f"{printing.measure(head.span)}",
            ),
            (
                "Of that, the head's own",
                printing.fine_measure(head.permanent),
                "its weight and lining, with creep",
            ),
            (
                "Closed edges out of parallel",
                printing.fine_measure(head.out_of_parallel),
                f"top to bottom as first hung; {printing.fine_measure(head.out_of_parallel_later)} "
                "more in time",
            ),
        )
    )
    leaves = Table(
        columns=(
            Column("Leaf", share=1),
            Column(f"Worst at a hanger, {printing.unit}", "right"),
            Column("when moved by", "right"),
            Column("Leading / trailing edge drops as hung", "right"),
            Column("Drops later", "right"),
            Column("Least gap, finished floor", "right"),
        ),
        rows=tuple(
            (
                leaf.name,
                printing.fine(leaf.worst),
                printing.length(abs(leaf.at)),
                " / ".join(printing.fine(drop) for drop in leaf.hung_drop),
                printing.fine(leaf.later_drop),
                printing.length(leaf.least_gap),
            )
            for leaf in head.leaves
        ),
        title="The head under the moving leaves",
    )
    return [facts, leaves]


def _track(choice: TrackHeadChoice, printing: Printing) -> Text:
    moves, limit = printing.fine_measure(choice.deflection), printing.fine_measure(choice.limit)
    return Text(
        f"A head of {choice.member.name} holds the track: it moves {moves} at most, limit {limit}; "
        f"{printing.quantity(choice.mass, 'kg')}, {Money(choice.price, choice.currency)}. "
        "It carries the door only, nothing of the building."
    )


def _sizing(sizing: HeadSizing, printing: Printing) -> list[Block]:
    picks = (
        ("Lightest", sizing.lightest),
        ("Cheapest", sizing.cheapest),
        ("Shallowest", sizing.shallowest),
    )
    found = [(name, head) for name, head in picks if head is not None]
    blocks: list[Block] = [
        Banner(sizing.label[:1].upper() + sizing.label[1:]),
        Text(
            f"By {sizing.code}. Loads on the head: dead "
            f"{printing.bare(sizing.line_dead, 'kN/m', 2)}, live "
            f"{printing.quantity(sizing.line_live, 'kN/m', 2)}. 100 % is just enough."
        ),
    ]
    if found:
        blocks.append(_heads(found, printing))
    if sizing.cheapest is not None:
        blocks.append(
            Text(
                f"Of the cheapest, {sizing.cheapest.combination} asks most of its strength. Every "
                "combination of the code was tried; which, and what is left out, is in the theory "
                "page on structure.",
                tone="small",
            )
        )
    else:
        blocks.append(Text("No section of the catalogue passes; the engineer must design it."))
    if sizing.jamb is not None:
        jamb = sizing.jamb
        blocks.append(
            Text(
                f"Jamb studs under each end: {jamb.each_end}, {number(100 * jamb.utilisation)} % "
                f"used by {printing.quantity(jamb.load / 1000, 'kN')} ({jamb.combination})."
            )
        )
    props = sizing.props
    blocks.append(
        Text(
            f"Temporary props: {props.rows} {'rows' if props.rows > 1 else 'row'} of "
            f"{props.per_row}, at most {printing.measure(props.spacing)} apart, "
            f"{printing.quantity(props.load / 1000, 'kN')} on each.",
            tone="strong",
        )
    )
    if props.cautions:
        blocks.append(Bullets(tuple(("", str(caution)) for caution in props.cautions)))
    return blocks


def _heads(found: list[tuple[str, CheckedHead]], printing: Printing) -> Table:
    def percent(value: float) -> str:
        return f"{number(100 * value)} %"

    return Table(
        columns=(
            Column("Head"),
            Column("Section, grade", share=1, strong=True),
            Column(f"Wide × deep, {printing.unit}", "right"),
            Column(printing.unit_of("kg"), "right"),
            Column("Price", "right"),
            Column("Bending", "right"),
            Column("Shear", "right"),
            Column("Bearing", "right"),
            Column("Live sag", "right"),
            Column("Final sag", "right"),
        ),
        rows=tuple(
            (
                name,
                f"{head.plies} × {head.section}, {head.grade}",
                f"{printing.fine(head.breadth)} × {printing.fine(head.depth)}",
                printing.bare(head.mass, "kg", 0),
                str(Money(head.price, head.currency)),
                percent(head.bending),
                percent(head.shear),
                percent(head.bearing),
                percent(head.live_deflection),
                percent(head.final_deflection),
            )
            for name, head in found
        ),
        title="Sections that pass, preliminary",
    )


PLACES = (Place("office", 30, section),)
