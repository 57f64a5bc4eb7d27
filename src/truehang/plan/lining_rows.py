"""Which rows of fixings do the boards need? The screws of the lining's layout, by what holds them.

The layout says where each screw goes; here it is asked what each meets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from truehang.catalogue.fasteners import BoardRule
from truehang.fit import Arrangement
from truehang.fixings import CLEAR_OF_CAVITY, Hold, Row, Sheet
from truehang.job import Job
from truehang.lengths import said
from truehang.lining import Face, ScrewLine
from truehang.plan.faces import behind_groove, driven, jamb_cheek, sheets

GLUE_DOUBT = "a board maker bars stud adhesive round openings: ask yours before you count on glue"
"""From a board maker's installation manual (Australia, 2012)."""
Lines = Sequence[tuple[Face, Sequence[ScrewLine]]]
"""Each layer of each face, with the rows of screws of its layout."""
Place = tuple[float, float]


def lining_rows(
    job: Job, fit: Arrangement, rule: BoardRule, face: Face, lines: Sequence[ScrewLine]
) -> Iterator[Row]:
    """The rows of one layer of a face, as the layout screws it."""
    whole = sheets(job, "A" if face.side == "A" else "B")
    layers = whole[len(whole) - face.layer :]
    told = f"face {face.side}" + (f", layer {face.layer}" if len(whole) > 1 else "")
    key = face.side.lower() + (f"-{face.layer}" if len(whole) > 1 else "")
    axis, surface = driven(fit, "A" if face.side == "A" else "B")
    over = sum(sheet.thickness for sheet in whole[: len(whole) - face.layer])
    surface += over if axis == "+y" else -over
    hold = Hold(rule.hold, rule.source, rule.hold_glued, rule.source_glued)
    plain = Hold(rule.hold, rule.source)
    rib = Sheet("rib", fit.pockets[0].rib_thickness)
    sorted_ = _by_what_holds(fit, lines)
    for name, label, glued in (
        ("mouths", "lining to the ribs at the mouths", False),
        ("ribs", "lining to the ribs further in", True),
    ):
        if sorted_[name]:
            yield Row(
                key=f"lining-{name}-{key}", label=f"{label}, {told}", axis=axis, surface=surface,
                places=sorted_[name], through=layers, into=rib, cavity=True,
                hold=hold if glued or rule.glue_at_openings == "ask" else plain,
                kind="board-screw", glued=glued, glue_doubt="" if glued else GLUE_DOUBT,
                inputs=("job:wishes.lining", "fit.rib_thickness"),
            )  # fmt: skip
    if sorted_["strips"]:
        yield Row(
            key=f"lining-strip-{key}", label=f"lining to the head strip, {told}", axis=axis,
            surface=surface, places=sorted_["strips"], through=layers,
            into=Sheet("head strip", rib.thickness), cavity=True,
            hold=hold if rule.glue_at_openings == "ask" else plain,
            kind="board-screw", glued=False, glue_doubt=GLUE_DOUBT,
            inputs=("job:wishes.lining", "fit.rib_thickness"),
        )  # fmt: skip
    if sorted_["jamb"]:
        into, cavity, note = _jamb(fit, rule)
        yield Row(
            key=f"lining-jamb-{key}", label=f"lining to the closing jamb, {told}", axis=axis,
            surface=surface, places=sorted_["jamb"], through=layers, into=into, cavity=cavity,
            hold=plain, kind="board-screw", note=note,
            inputs=(
                "job:wishes.lining", "job:wall.make_up.studs", f"catalogue:kits.{fit.kit_id}.lead",
            ),
        )  # fmt: skip
    if sorted_["studs"]:
        yield Row(
            key=f"lining-studs-{key}", label=f"lining to studs, plates and head, {told}",
            axis=axis, surface=surface, places=sorted_["studs"], through=layers,
            into=Sheet("stud", fit.wall.stud), cavity=False, hold=hold, kind="board-screw",
            inputs=("job:wishes.lining", "job:wall.make_up.studs"),
        )  # fmt: skip


def _jamb(fit: Arrangement, rule: BoardRule) -> tuple[Sheet, bool, str]:
    """What a screw meets in the closing jamb: it stays out of the groove, where the leaf lands."""
    assert fit.closing_jamb is not None
    cheek, behind = jamb_cheek(fit), behind_groove(fit, fit.closing_jamb)
    if cheek.thickness - CLEAR_OF_CAVITY >= rule.hold:
        return cheek, True, ""
    note = (
        f"in the {said(behind.length)} behind the groove only: beside the groove there is "
        f"{said(cheek.thickness, 1)}, less than a screw needs"
    )
    return Sheet("closing jamb behind its groove", fit.wall.stud), False, note


def _by_what_holds(fit: Arrangement, lines: Sequence[ScrewLine]) -> dict[str, tuple[Place, ...]]:
    """Every screw by what holds it: a rib where the pocket is behind it, else solid timber."""
    found: dict[str, list[Place]] = {
        name: [] for name in ("mouths", "ribs", "strips", "jamb", "studs")
    }
    for line in lines:
        for x, z in line.places:
            found[_holder(fit, line, x, z)].append((x, z))
    return {name: tuple(places) for name, places in found.items()}


def _holder(fit: Arrangement, line: ScrewLine, x: float, z: float) -> str:
    if z > fit.heights.head_underside:
        return "studs"
    if line.support == "jamb":
        return "jamb"
    for pocket in fit.pockets:
        if pocket.inside.low <= x <= pocket.inside.high:
            rib = min(pocket.rib_centres, key=lambda at: abs(at - x))
            nearest = min(pocket.rib_centres, key=lambda at: abs(at - pocket.mouth))
            return "mouths" if rib == nearest else "ribs"
    if z >= fit.heights.clear_head and fit.opening.low <= x <= fit.opening.high:
        return "strips"
    return "studs"
