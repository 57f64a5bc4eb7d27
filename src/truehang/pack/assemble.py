"""Which plain document does a plan become? Cover first, then every section it has."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Document
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing
from truehang.pack.sections import SECTIONS, cover

if TYPE_CHECKING:
    from truehang.plan import Plan


def document(plan: Plan, printing: Printing, album: Album) -> Document:
    """The pack of one job as plain sections."""
    about = plan.job.job
    return Document(
        title=f"Build pack, issued {about.issued.isoformat()}",
        subtitle=cover.subtitle(plan),
        job=about.title,
        revision=str(about.revision),
        stamp=plan.stamp,
        remark="Invented data" if about.invented else "Not an approval; local codes rule",
        cover=cover.blocks(plan, printing),
        sections=tuple(made for section in SECTIONS for made in section(plan, printing, album)),
    )


def printing(plan: Plan) -> Printing:
    """Length style and words of this job."""
    return Printing(plan.style, plan.words)
