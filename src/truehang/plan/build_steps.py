"""Which steps apply to this job, and what is said in them that is this job's own?"""

from __future__ import annotations

import math

from truehang.catalogue.access import AccessLimits
from truehang.figures import Ledger
from truehang.fit import Clash
from truehang.job import Job
from truehang.lengths import said
from truehang.plan.base import base_held
from truehang.plan.bays import insulation_area
from truehang.plan.called import called_here, lined_with, there_now
from truehang.plan.entry import Asked
from truehang.plan.furniture import has_keep, keep_place
from truehang.plan.order import BEARING, BUILT, FRAMED, HEAD, RULES
from truehang.plan.over import Settled
from truehang.plan.stays import OTHER, left_whole, staying
from truehang.plan.weigh import WeighedOption
from truehang.steps import Step, order
from truehang.words import word

MOUTH_OFF = 2.0
"""How far a leaf may stand off the middle of its mouth, mm (common practice, no source)."""
LEAST_GAP, MOST_GAP = 5.0, 15.0
"""The least floor gap along the travel may read from here to here, mm (common practice, no
source)."""
LEAST_MOUTH_GAP = 3.0
"""The least gap between a leaf and its mouth, mm (common practice, no source)."""
GRIP = 30.0
"""Less than this of an open leaf is not taken hold of, mm (common practice, no source)."""
_WORDS = {
    "level_over": "level-over",
    "trim": "architrave",
    "skirting": "skirting",
    "set": "set",
    "timber": "timber",
    "outlet": "outlet",
    "top_plate": "top-plate",
    "bottom_plate": "bottom-plate",
    "long_level": "long-level",
    "short_level": "short-level",
}
"""The trade words that the steps' texts have, by the name that they have there."""


def build_steps(asked: Asked, figures: Ledger) -> tuple[Step, ...]:
    """The order of work; () where nothing fits."""
    if asked.get(BUILT) is None:
        return ()
    chosen, settled, rules = asked.of(BUILT), asked.of(HEAD), asked.of(RULES)
    flags = {
        **_of_the_wall(asked),
        **_of_the_fit(asked.given.job, chosen, rules),
        **_of_the_frame(asked, settled),
    }
    limits = _limits(chosen, rules, settled.tried.asked.request.head_drop)
    return order([flag for flag, holds in flags.items() if holds], figures, _told(asked), limits)


def _of_the_wall(asked: Asked) -> dict[str, bool]:
    """What the wall is, and what is done to it."""
    job, load = asked.given.job, asked.of(BEARING)
    wall, hazard = job.wall, asked.given.region.hazard_year
    return {
        "old-building": wall.built is None or wall.built < hazard,
        "rated-wall": wall.fire_rated is not False
        or wall.acoustic_rated is not False
        or wall.escape_route is not False,
        "load": load.bears,
        "load-hold": load.hold,
        "base-held": base_held(job),
        "trim": job.wishes.trim,
        "cut": wall.is_cut,
        "beside": wall.situation == "beside-opening",
        "new-wall": wall.situation == "new-wall",
        "keep": has_keep(job),
        "face-stays": staying(job) is not None,
        "face-left": left_whole(job) is not None,
    }


def _of_the_fit(job: Job, chosen: WeighedOption, rules: AccessLimits | None) -> dict[str, bool]:
    """What goes in, and how hard it may be to move."""
    fit = chosen.arrangement
    most = math.inf if rules is None or rules.force_most is None else rules.force_most
    return {
        "services-move": bool(fit.clashes),
        "pair": len(fit.leaves) == 2,
        "infill": bool(fit.infill),
        "soft-close": any(part.key == "soft-close" for part in fit.parts),
        "to-come": bool(fit.floor_to_come),
        "draws-out": job.wishes.handle != "edge-pull" and fit.option.standing_out < GRIP,
        "force-over": chosen.force > most,
        "bare-over": _bare_force(chosen) > most,
    }


def _of_the_frame(asked: Asked, settled: Settled) -> dict[str, bool]:
    """What holds it."""
    roles = {member.role for member in asked.of(FRAMED)}
    way = settled.over.way if settled.over is not None else None
    return {
        "mouth-props": settled.head is not None and settled.head.props,
        "head-strips": "head strip" in roles,
        "backing": "backing" in roles,
        "kept": any(
            member.origin == "there already" and member.role in ("jamb stud", "king stud")
            for member in asked.of(FRAMED)
        ),
        "insulate": insulation_area(asked.given.job, asked.of(FRAMED)) > 0,
        "head-there": way == "existing",
        "head-under": way == "own" and asked.given.job.wall.situation == "fill-opening",
    }


def _told(asked: Asked) -> dict[str, str]:
    """What the steps' texts say of this job."""
    job, fit = asked.given.job, asked.of(BUILT).arrangement
    materials, words = asked.given.catalogue.materials, asked.given.region.words
    stays = left_whole(job)
    told = {
        "board": called_here(there_now(job), materials, words),
        "new_board": called_here(lined_with(job), materials, words),
        "keep": keep_place(fit),
        **{name: words[ours] for name, ours in _WORDS.items()},
        "services": "; ".join(map(_to_move, fit.clashes)),
        "stays": stays or "B",
        "opened": OTHER[stays] if stays else "A",
    }
    if fit.floor_to_come:
        come = said(fit.floor_to_come, 1)
        told["come"] = come
        told["gap_now"] = f", now, before the floor to come ({come}) is laid"
        told["gap_down"] = f", once the floor to come ({come}) is down"
    return told


def _limits(
    chosen: WeighedOption, rules: AccessLimits | None, drop: float
) -> dict[str, tuple[float, float]]:
    """Tolerances that are this job's own: the force of its rule set, or else the most that its
    own leaves should take before and after their seals are in, the gap of its own mouths, and floor
    gaps that are left once a head that carries load has come down by `drop` (mm)."""
    fit = chosen.arrangement
    gap = next(layer.y1 - layer.y0 for layer in fit.pocket_section if layer.key == "air-a")
    own = {"trim-free": (max(gap - MOUTH_OFF, LEAST_MOUTH_GAP), gap + MOUTH_OFF)}
    asked = rules.force_most if rules is not None else None
    bare = _bare_force(chosen)
    to_come = fit.floor_to_come
    own["floor-gap"] = (LEAST_GAP + drop + to_come, MOST_GAP + drop + to_come)
    own["final-gap"] = (LEAST_GAP + drop, MOST_GAP + drop)
    own["force"] = (0.0, round(bare, 1) if asked is None else asked)
    own["force-finished"] = (0.0, round(chosen.force, 1) if asked is None else asked)
    return own


def _bare_force(chosen: WeighedOption) -> float:
    """The most that starting a leaf takes before its seals go in, N."""
    return max(leaf.bare_force for leaf in chosen.hardware)


def _to_move(clash: Clash) -> str:
    """One service in the way, where it is and whose work it is."""
    one = clash.service
    where = "inside the wall" if one.hidden else f"on face {one.face}"
    return (
        f"{one.name}, {word(one.kind)} at x {said(one.x)}, z {said(one.z)} {where}, "
        f"in the {clash.where} ({word(clash.trade)})"
    )
