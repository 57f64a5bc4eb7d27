"""How quiet will it be, what is the weakest path, and what is worth buying?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Facts, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing, number

if TYPE_CHECKING:
    from truehang.plan import Plan
    from truehang.sound import Gain, SoundResult, State


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """Before and after, how it will sound, paths, upgrades, and the curve."""
    result = plan.sound
    if result is None:
        return ()
    states = [result.before, result.after]
    if result.upgraded is not None:
        states.append(result.upgraded)
    band = result.uncertainty.dntw
    blocks: list[Block] = [
        Facts(
            (
                ("Wall and door, Rw (C; Ctr)", f"{result.after.rating} dB", ""),
                (
                    "Room to room, DnT,w",
                    f"{result.after.dntw.rw} dB",
                    f"90 % between {number(band.low)} and {number(band.high)}",
                ),
                (
                    "Weakest path",
                    result.weakest,
                    f"{number(100 * result.weakest_share)} % of what gets through",
                ),
            )
        ),
        Text(f"In the other room: {result.after.heard.words}", tone="strong"),
        Text(result.note),
        _states(states),
        _paths(result, printing),
    ]
    blocks += _gains(result)
    blocks += album.printed("sound-")
    return (Section("Sound", tuple(blocks)),)


def _states(states: list[State]) -> Table:
    return Table(
        columns=(
            Column("State", share=0.8),
            Column("Rw (C; Ctr)", "right"),
            Column("STC", "right"),
            Column("DnT,w", "right", strong=True),
            Column("Arrives dB(A)", "right"),
            Column("Speech index", "right"),
            Column("What is heard", share=1),
        ),
        rows=tuple(
            (
                state.name,
                str(state.rating),
                str(state.rating.stc),
                str(state.dntw.rw),
                number(state.heard.level_a),
                number(state.heard.sii, 2),
                state.heard.words,
            )
            for state in states
        ),
        title="Before and after",
    )


def _paths(result: SoundResult, printing: Printing) -> Table:
    return Table(
        columns=(
            Column("Way through", share=1),
            Column(f"Area {printing.unit_of('m2')}", "right"),
            Column("Rw", "right"),
            Column("Share of what gets through", "right", strong=True),
        ),
        rows=tuple(
            (
                path.name,
                printing.bare(path.area, "m2", 3),
                str(path.rating.rw),
                f"{number(100 * path.share, 1)} %",
            )
            for path in result.after.paths
        ),
        title="Where it gets through, as designed",
    )


def _gains(result: SoundResult) -> list[Block]:
    pays = [gain for gain in result.gains if gain.step_gain > 0]
    rest = [gain.label for gain in result.gains if gain.step_gain <= 0]
    blocks: list[Block] = []
    if pays:
        blocks.append(_bought(pays))
    if rest:
        blocks.append(Text(f"Not worth buying on top of these: {', '.join(rest)}.", "small"))
    return blocks


def _bought(gains: list[Gain]) -> Table:
    return Table(
        columns=(
            Column("Buy", "right"),
            Column("What", share=1),
            Column("Cost", "right"),
            Column("Alone, dB", "right"),
            Column("In this order, dB", "right", strong=True),
            Column("DnT,w then", "right"),
        ),
        rows=tuple(
            (
                str(gain.rank),
                gain.label,
                str(gain.cost),
                number(gain.gain, 1, plus=True),
                number(gain.step_gain, 1, plus=True),
                number(gain.total, 1),
            )
            for gain in gains
        ),
        title="What each upgrade buys, best for the money first",
    )


PLACES = (Place("office", 60, section),)
