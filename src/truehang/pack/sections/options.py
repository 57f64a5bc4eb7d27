"""What else would fit, and what would each way win and lose? The options, best first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.money import Money
from truehang.pack.content import Block, Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import DASH, Printing

if TYPE_CHECKING:
    from truehang.plan import Plan, WeighedOption

_MOST_OPTIONS = 12
_MOST_REFUSALS = 8
_KEY = (
    "A diamond marks an option that no other beats in clear passage, quiet, mass, force, price and "
    "wall lost together. Clashes are services in the way "
    "of a pocket or frame: an electrician or plumber must move them. Prices are invented unless "
    "you gave your own; before tax."
)

KIND_WORDS = {
    "single-left": "Single, pocket left",
    "single-right": "Single, pocket right",
    "pair": "Pair",
}


def section(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """The options that fit and the nearest that do not."""
    given = plan.options
    if not plan.weighed and not given.refusals:
        return ()
    blocks: list[Block] = []
    chosen = plan.arrangement.option.key if plan.arrangement else ""
    shown = list(plan.weighed[:_MOST_OPTIONS])
    shown += [one for one in plan.weighed[_MOST_OPTIONS:] if one.option.key == chosen]
    if shown:
        blocks += [
            _sizes(shown, chosen, printing),
            *_words(shown, chosen),
            Text(_KEY, tone="small"),
        ]
        left = len(plan.weighed) - len(shown)
        if left:
            blocks.append(Text(f"{left} more fit but rank lower; the plan lists them.", "small"))
    if given.refusals:
        blocks.append(_refusals(plan, printing))
    return (Section("Options", tuple(blocks), wide=True),)


def _number(one: WeighedOption, chosen: str) -> str:
    mark = "◆" if one.unbeaten else ""
    return f"{one.rank}{mark}" + (" chosen" if one.option.key == chosen else "")


def _sizes(shown: list[WeighedOption], chosen: str, printing: Printing) -> Table:
    def row(one: WeighedOption) -> tuple[str, ...]:
        option = one.option
        failed = [check.label for check in option.access if check.passed is False]
        return (
            _number(one, chosen),
            f"{KIND_WORDS[option.arrangement]}, {option.kit_name}, {option.leaf_name}",
            printing.length(option.passage),
            printing.length(option.clear_height),
            printing.length(option.lost_wall),
            f"{option.leaf_count} × {printing.bare(option.leaf_mass, 'kg')}",
            f"{printing.bare(one.force_low, 'N', 0)} to {printing.bare(one.force, 'N', 0)}",
            DASH if one.rating is None else str(one.rating.rw),
            ", ".join(clash.service.name for clash in option.clashes) or DASH,
            ("fails: " + ", ".join(failed)) if failed else "met" if option.access else DASH,
            str(Money(option.price_minor, option.currency)),
            str(option.lead_time_days),
        )

    columns = (
        Column("No."),
        Column("Arrangement, kit, leaf", share=2),
        Column(f"Clear passage {printing.unit}", "right", strong=True),
        Column(f"Clear height {printing.unit}", "right"),
        Column(f"Wall lost {printing.unit}", "right"),
        Column(f"Leaves, {printing.unit_of('kg')} each", "right"),
        Column(f"To move {printing.unit_of('N')}", "right"),
        Column("Rw dB", "right"),
        Column("Clashes", share=1),
        Column("Accessibility", share=0.6),
        Column("Price", "right"),
        Column("Lead days", "right"),
    )
    rows = [row(one) for one in shown]
    used = [x for x in range(len(columns)) if any(cells[x] != DASH for cells in rows)]
    return Table(
        columns=tuple(columns[x] for x in used),
        rows=tuple(tuple(cells[x] for x in used) for cells in rows),
        strong=tuple(i for i, one in enumerate(shown) if one.option.key == chosen),
    )


def _words(shown: list[WeighedOption], chosen: str) -> list[Block]:
    """What each option wins and loses; what all of them lose is said once."""
    first, *others = shown
    shared = [
        loss
        for loss in first.option.loses
        if others and all(loss in one.option.loses for one in others)
    ]
    table = Table(
        columns=(Column("No."), Column("Wins", share=1), Column("Loses", share=1)),
        rows=tuple(
            (
                _number(one, chosen),
                "; ".join(map(str, one.option.wins)) or DASH,
                "; ".join(str(loss) for loss in one.option.loses if loss not in shared) or DASH,
            )
            for one in shown
        ),
        title="What each wins and loses",
    )
    return [
        table,
        *([Text(f"With every one of these: {'; '.join(map(str, shared))}.")] if shared else []),
    ]


def _refusals(plan: Plan, printing: Printing) -> Table:
    nearest = sorted(plan.options.refusals, key=lambda r: (-r.step, r.short_by, r.key))
    shown = nearest[:_MOST_REFUSALS]
    title = "What does not fit, nearest first"
    if len(nearest) > len(shown):
        title += f" ({len(shown)} of {len(nearest)})"

    def short(by: float, unit: str) -> str:
        if not by:
            return DASH
        return printing.fine_measure(by) if unit == "mm" else printing.quantity(by, unit)

    return Table(
        columns=(
            Column("Arrangement, kit, leaf", share=1),
            Column("Short by", "right"),
            Column("What binds", share=1.4),
            Column("Nearest change", share=1.4),
        ),
        rows=tuple(
            (r.key.replace("/", ", "), short(r.short_by, r.unit), str(r.what), str(r.mend))
            for r in shown
        ),
        title=title,
    )


PLACES = (Place("office", 120, section),)
