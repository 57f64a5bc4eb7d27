"""Until both faces are lined, do the ribs at the mouths prop the head, and what if they don't?

The head is chosen over the clear opening, since ribs and lining together hold its ends at the
mouths. Before the lining is on, a rib is a thin strut that may bow out of the wall: its Euler load
is set against what it gets. What it can't take, the head must carry from back stud to back stud.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from truehang.amounts import amount
from truehang.catalogue.timber import CodeSet, Grade
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.lengths import said
from truehang.rule import Given, Rule
from truehang.structure.beams import Array
from truehang.structure.candidates import depth_strengths, resistance_factor
from truehang.structure.inputs import TrackHead
from truehang.structure.results import PRELIMINARY
from truehang.structure.track_head import (
    BEAM_SOURCE,
    LIMIT_SOURCE,
    deflection_limit,
    head_movement,
    leaf_travel,
    self_load,
)

WHERE = "ribs at the mouths"
EULER = "Euler: pi^2 EI/L^2 of each rib, both ends held, bowing through the wall"
PRACTICE = "common practice, no source"
BUCKLING = Rule(
    "N = n × π^2 × E × (b × t^3/12)/L^2",
    {
        "N": "load at which the ribs at one mouth bow out of the wall, N",
        "n": "ribs at one mouth",
        "E": "modulus, MPa",
        "b": "width of a rib, seen from the face",
        "t": "rib thickness",
        "L": "length of a rib",
    },
)
MEANS = {
    "N": "most that the ribs at one mouth get from the head, N",
    "w": "weight of head, lining, trim and track for each length, N/mm",
    "L": "between the mouths",
    "P": "the heavier leaf, hung beside this mouth, N",
    "Q": "the other leaf, in the middle, N",
}
MOUTH = Rule("N = w × L/2 + P", MEANS)
MOUTH_OF_PAIR = Rule("N = w × L/2 + P + Q/2", MEANS)
STATIONS = 121
"""Places along the head where its moment is looked at."""


@dataclass(frozen=True, slots=True)
class MouthRibs:
    """The two ribs at one mouth, one on each face: width seen from the face, thickness through the
    wall and length (mm), modulus (MPa)."""

    width: float
    thickness: float
    length: float
    modulus: float
    count: int = 2

    @property
    def buckling_load(self) -> float:
        """The load under which both together bow out of the wall, N."""
        return BUCKLING(**{symbol: put.value for symbol, put in self.given().items()})

    def given(self) -> dict[str, Given]:
        """What goes into the rule, by symbol."""
        return {
            "n": Given(self.count, "", ""),
            "E": Given(self.modulus, "catalogue:timber", "MPa"),
            "b": Given(self.width, "catalogue:kits"),
            "t": Given(self.thickness, "fit.rib_thickness"),
            "L": Given(self.length, ""),
        }


@dataclass(frozen=True, slots=True)
class Unlined:
    """The head before the lining is on. `mouth_load` is the most that the ribs at one mouth get,
    `ribs_load` what they buckle at (N; None: not known); `deflection` (mm) and `strength` (1: just
    enough) are of the head with no help from them, over `span`. `props`: ribs can't be trusted."""

    mouth_load: float
    ribs_load: float | None
    span: float
    deflection: float
    limit: float
    strength: float
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]

    @property
    def props(self) -> bool:
        """True where the mouths are propped until both faces are lined."""
        return self.ribs_load is None or self.mouth_load > self.ribs_load


def unlined(
    head: TrackHead,
    studs: tuple[float, float],
    ribs: MouthRibs | None,
    timber: Grade,
    code: CodeSet,
) -> Unlined:
    """`head` as it is with the mouths propped; `studs` are the inner faces of the back studs (x);
    `ribs` None where the frame's ribs are no plain timber."""
    bare = replace(head.member, creep=1.0)
    whole = replace(head, left=studs[0], right=studs[1], member=bare)
    span = whole.right - whole.left
    made = Unlined(
        mouth_load=_mouth_load(head),
        ribs_load=ribs.buckling_load if ribs else None,
        span=span,
        deflection=head_movement(whole).deflection,
        limit=deflection_limit(span),
        strength=_strength(whole, timber, code),
        figures=(),
        findings=(),
    )
    return replace(made, figures=_figures(head, made, ribs, code), findings=(_finding(made, ribs),))


def _mouth_load(head: TrackHead) -> float:
    """The most that one end gets: a leaf right beside it and the other at mid-span."""
    rule, put = _on_mouth(head)
    return rule(**{symbol: given.value for symbol, given in put.items()})


def _on_mouth(head: TrackHead) -> tuple[Rule, dict[str, Given]]:
    """What comes to one mouth: the rule, and what is put in; the heavier leaf first."""
    weights = sorted((sum(leaf.loads) for leaf in head.leaves), reverse=True)
    leaves = zip("PQ", weights, strict=False)
    return MOUTH if len(weights) == 1 else MOUTH_OF_PAIR, {
        "w": Given(self_load(head), "structure.track_head.self_load", "N/mm"),
        "L": Given(head.right - head.left, ""),
        **{symbol: Given(load, "", "N") for symbol, load in leaves},
    }


def _strength(head: TrackHead, timber: Grade, code: CodeSet) -> float:
    """Bending stress over strength with dead load alone, the leaves wherever they do most."""
    member, span = head.member, head.right - head.left
    along = np.linspace(0.0, span, STATIONS)
    moment = self_load(head) * along * (span - along) / 2.0
    for leaf in head.leaves:
        travel = leaf_travel(leaf, head.left)
        moment = moment + _point_moments(travel.hangers, travel.loads, along, span).max(axis=0)
    modulus = member.breadth * member.plies * member.depth**2 / 6.0
    bending, _, _ = depth_strengths(timber, member.depth)
    worst = 0.0
    for rule in code.combination:
        if not (rule.lead or rule.lasting or rule.uplift):
            method = code.method[rule.method]
            factor = resistance_factor(code, method, timber.kind, "bending", 0.0)
            strong = bending * factor * method.duration_factor["permanent"]
            worst = max(worst, rule.dead * float(moment.max()) / modulus / strong)
    return worst


def _point_moments(places: Array, loads: Array, along: Array, span: float) -> Array:
    """Moment at each place along for every position of a leaf's hangers, (positions, along)."""
    at, x = places[:, :, None], along[None, None, :]
    near, beyond = np.minimum(at, x), span - np.maximum(at, x)
    on_span = (near > 0.0) & (beyond > 0.0)
    total: Array = np.where(on_span, loads[None, :, None] * near * beyond / span, 0.0).sum(axis=1)
    return total


def _figures(
    head: TrackHead, made: Unlined, ribs: MouthRibs | None, code: CodeSet
) -> tuple[Figure, ...]:
    rule, put = _on_mouth(head)
    mouth = rule.figure(
        "structure.mouth_load", "most that the ribs at one mouth get from the head",
        put, "statics of a simply supported beam", unit="N",
        behind=("fit.opening", *(f"hardware.{n}.mass" for n in range(len(put) - 2))),
    )  # fmt: skip
    bow = () if ribs is None else (
        BUCKLING.figure(
            "structure.mouth_ribs", "load at which two unlined ribs bow out of the wall",
            ribs.given(), EULER, unit="N",
        ),
    )  # fmt: skip
    rest = (
        Figure(
            "structure.unlined.deflection", "head down at a hanger, unlined, with no prop",
            made.deflection, "mm", f"span between the back studs, {said(made.span)}",
            ("fit.frame_width", "hardware.0.mass"), BEAM_SOURCE,
        ),
        Figure(
            "structure.unlined.strength", "share of the head's strength, unlined, with no prop",
            round(100.0 * made.strength), "%",
            "bending, dead load alone, leaves where they do most",
            ("fit.frame_width", "hardware.0.mass"), f"{PRELIMINARY}; {code.source}",
        ),
    )  # fmt: skip
    return (mouth, *bow, *rest)


def _finding(made: Unlined, ribs: MouthRibs | None) -> Finding:
    most = amount(made.mouth_load, "N", 0)
    gets = f"the ribs at each mouth prop the head and get up to {most}"
    alone = (
        f"with no prop the head spans {said(made.span)} between the back studs, goes down "
        f"{said(made.deflection, 1)} at a hanger ({said(made.limit, 1)} is the limit) and uses "
        f"{made.strength:.0%} of its strength ({PRELIMINARY})"
    )
    if ribs is None:
        return Finding(
            Severity.WARN,
            WHERE,
            f"{gets} before they are lined; what the kit's ribs stand is not known; {alone}",
            "prop the head at each mouth until both faces are lined, or see that the kit's "
            "datasheet allows it bare",
            PRACTICE,
        )
    size = f"{said(ribs.thickness, 1)} x {said(ribs.width)}, {said(ribs.length)} long"
    stands = f"two unlined ribs of {size}, buckle at about {amount(ribs.buckling_load, 'N', 0)}"
    if not made.props:
        return Finding(
            Severity.NOTE,
            WHERE,
            f"{gets} before they are lined; {stands}; a rib that is not straight bows earlier",
            "keep them straight and braced while the leaves hang unlined",
            EULER,
        )
    return Finding(
        Severity.WARN,
        WHERE,
        f"{gets} before they are lined; {stands}; {alone}",
        "prop the head at each mouth before a leaf hangs, and leave the props until both faces are "
        "lined: the build steps say how",
        f"{EULER}; {LIMIT_SOURCE}",
    )
