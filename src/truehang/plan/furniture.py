"""Does what goes into the leaf's edges go together, and where does the latch's keep go?"""

from __future__ import annotations

from collections.abc import Iterator

from truehang.catalogue import Catalogue
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.job import Job
from truehang.lengths import said

PRACTICE = "common practice, no source"


def has_keep(job: Job) -> bool:
    """Is a latch wished for that is caught by something?"""
    return job.wishes.furniture in ("privacy", "lock")


def keep_place(fit: Arrangement) -> str:
    """What the keep is let into."""
    if len(fit.leaves) == 2:
        return "in the edge of the other leaf, where they meet"
    return "in the bottom of the closing jamb's groove"


def furniture(job: Job, catalogue: Catalogue, fit: Arrangement | None) -> Iterator[Finding]:
    """What is not settled of latch, guide and seal in the chosen arrangement."""
    if fit is None:
        return
    if has_keep(job):
        yield _keep(job, fit)
    wished = job.wishes.seals.floor
    kinds = {seal.key: seal.kind for seal in catalogue.seals}
    if kinds.get(wished) == "drop" and fit.guide_groove > 0:
        yield _two_in_one_edge(fit)


def _keep(job: Job, fit: Arrangement) -> Finding:
    height = said(fit.heights.handle)
    room = (
        f"; the jamb's groove is {said(fit.jamb_groove, 1)} deep and "
        f"{said(fit.jamb_groove_width, 1)} wide"
        if fit.jamb_groove > 0
        else ""
    )
    return Finding(
        Severity.WARN,
        "wishes.furniture",
        f"the keep of the {job.wishes.furniture} latch goes {keep_place(fit)}, near z {height}; "
        f"how large it is and how deep its recess goes is not known{room}",
        "take both off the latch's own sheet before leaf and jamb are ordered; cut the recess on "
        "the bench, before the frame stands",
        PRACTICE,
    )


def _two_in_one_edge(fit: Arrangement) -> Finding:
    thick = fit.leaf_order_size[2]
    return Finding(
        Severity.WARN,
        "wishes.seals.floor",
        f"the drop seal and the guide's groove ({said(fit.guide_groove, 1)} deep) are both cut "
        f"into the bottom edge of a leaf {said(thick, 1)} thick: one does not go under the other",
        "have the leaf's maker draw both side by side, or a guide that takes the leaf's faces and "
        "no groove, or wish for a brush under the leaf, before the leaf is ordered",
        PRACTICE,
    )
