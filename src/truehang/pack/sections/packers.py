"""What goes under each support, and is the floor gap right along the whole travel? Parts of build
steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.fit import Arrangement, Pack
    from truehang.plan import Plan
    from truehang.plan.over_model import HeadPack


def levels(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
    """The level line, the stack under each support, and each height from the floor there."""
    made = plan.arrangement
    if made is None:
        return ()
    return (
        _stacks(made, printing),
        *_in_all(made, printing),
        *_over_the_head(plan, printing),
        _from_the_floor(made, printing),
        Text(
            f"Level line {printing.length(made.heights.level_line, plus=True)} from the level "
            f"datum; underside of leaf {_over_line(made, printing)} over the level line. Pack "
            "solid before any fixing is tightened, and check the base against the level line "
            "again after tightening.",
            tone="small",
        ),
    )


def gaps(plan: Plan, printing: Printing, _album: Album) -> tuple[Block, ...]:
    """The gap under each leaf along its travel."""
    made = plan.arrangement
    return () if made is None else (_gaps(made, printing), *_on_stacks(made))


def _over_line(made: Arrangement, printing: Printing) -> str:
    return printing.between(made.heights.level_line, made.heights.leaf_bottom)


def _pieces(pack: Pack, printing: Printing) -> str:
    if pack.pieces is None:
        return "plane, or pack with a tapered plate"
    stack = " + ".join(printing.piece(piece) for piece in pack.pieces) or "none"
    made = printing.piece(pack.made)
    return f"{stack} (makes {made})" if pack.off and made != _wanted(pack, printing) else stack


def _wanted(pack: Pack, printing: Printing) -> str:
    """The pack as the same row tells it: what adds up to it as printed makes nothing else."""
    return printing.between(pack.floor, pack.floor + pack.height)


def _in_all(made: Arrangement, printing: Printing) -> tuple[Text, ...]:
    """How many packers of each thickness all the stacks take."""
    pieces = [piece for pack in made.packs for piece in pack.pieces or ()]
    if not pieces:
        return ()
    each = (f"{pieces.count(piece)} × {printing.piece(piece)}" for piece in sorted(set(pieces)))
    return (Text(f"In all, under the frame: {', '.join(each)}."),)


def _over_the_head(plan: Plan, printing: Printing) -> tuple[Table, ...]:
    """What is packed at each head fixing, where the underside over it was read."""
    packs = plan.over.packs if plan.over else ()
    if not packs:
        return ()

    def pieces(one: HeadPack) -> str:
        if one.pieces is None:
            return "measure there, and plane a strip to it"
        strip = [f"strip {printing.length(one.strip)}"] if one.strip else []
        return " + ".join([*strip, *map(printing.piece, one.pieces)]) or "none"

    return (
        Table(
            columns=(
                Column(f"Head fixing at x from the datum, {printing.unit}", "right"),
                Column("Underside there, from the level datum", "right"),
                Column("Gap down to the frame", "right", strong=True),
                Column("Pieces", strong=True, share=1),
            ),
            rows=tuple(
                (
                    printing.length(one.x),
                    printing.length(one.underside, plus=True),
                    printing.fine(one.gap),
                    pieces(one),
                )
                for one in packs
            ),
            title="Packing over the frame's head, straight between the readings of the underside",
            large=True,
        ),
    )


def _on_stacks(made: Arrangement) -> tuple[Text, ...]:
    """What the stacks make of the gaps above, where they are not the packs that are wanted."""
    return tuple(Text(f"{gap.leaf}: {gap.on_stacks}.") for gap in made.floor_gaps if gap.on_stacks)


def _stacks(made: Arrangement, printing: Printing) -> Table:
    return Table(
        columns=(
            Column("Support", share=1),
            Column(f"x from the datum, {printing.unit}", "right"),
            Column("Floor here, from the level datum", "right"),
            Column("Pack: floor here to level line", "right", strong=True),
            Column("Pieces", strong=True, share=0.7),
        ),
        rows=tuple(
            (
                pack.label,
                printing.length(pack.x),
                printing.length(pack.floor, plus=True),
                _wanted(pack, printing),
                _pieces(pack, printing),
            )
            for pack in made.packs
        ),
        title="Packers under each support",
        large=True,
    )


def _from_the_floor(made: Arrangement, printing: Printing) -> Table:
    """Every height that is wanted at a support, stud or jamb, from the floor at that place."""
    up = made.heights
    to_come = bool(made.floor_to_come)
    return Table(
        columns=(
            Column("From the floor here, as it is now", share=1),
            Column(f"x from the datum, {printing.unit}", "right"),
            Column("Level line", "right", strong=True),
            *((Column("Level line, when the floor is down", "right"),) if to_come else ()),
            Column("Head, underside", "right", strong=True),
            Column("Rough head", "right", strong=True),
        ),
        rows=tuple(
            (
                f"{place.label} ({place.what})" if place.what not in place.label else place.label,
                printing.length(place.x),
                printing.between(place.floor, place.line),
                *((printing.between(place.floor_down, place.line),) if to_come else ()),
                printing.between(place.floor, up.head_underside),
                printing.between(place.floor, up.rough_head),
            )
            for place in made.floor_here
        ),
        title="Heights from the floor here, at each support, stud and jamb",
    )


def _gaps(made: Arrangement, printing: Printing) -> Table:
    to_come = made.floor_to_come

    def at(gap: float, now: float, x: float) -> str:
        place = f"at x {printing.length(x)}"
        if not to_come:
            return f"{printing.length(gap)} {place}"
        return f"{printing.length(now)} now, {printing.length(gap)} when the floor is down, {place}"

    return Table(
        columns=(
            Column("Leaf"),
            Column(f"Least gap, {printing.unit}", "right", share=1),
            Column(f"Most gap, {printing.unit}", "right", share=1),
            Column("Guide still engaged by" + (", floor down" if to_come else ""), "right"),
        ),
        rows=tuple(
            (
                gap.leaf,
                at(gap.least, gap.least_now, gap.least_at),
                at(gap.most, gap.most_now, gap.most_at),
                printing.length(gap.guide_engagement),
            )
            for gap in made.floor_gaps
        ),
        title="Gap between leaf and finished floor along the travel"
        + (f", {printing.fine(to_come)} of it still to come" if to_come else ""),
    )
