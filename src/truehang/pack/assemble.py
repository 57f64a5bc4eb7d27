"""Which plain document does a plan become? Cover first, then every section it has."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from truehang.pack.content import Banner, Document, Section, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing
from truehang.pack.sections import SECTIONS, build, cover, findings

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
        remark=_remark(plan),
        cover=cover.blocks(plan, printing),
        sections=build.numbered(
            [
                _standing(made, plan) if section is not findings.section else made
                for section in SECTIONS
                for made in section(plan, printing, album)
            ]
        ),
    )


def _standing(section: Section, plan: Plan) -> Section:
    """A section that says first what stands in the way of using it."""
    standing = plan.standing
    if not standing.findings:
        return section
    said = f"{standing.headline}. See Findings."
    first = Banner(said) if standing.draft else Text(said, tone="strong")
    return replace(section, blocks=(first, *section.blocks))


def _remark(plan: Plan) -> str:
    """What every page says beside its stamp."""
    invented = plan.job.job.invented
    if plan.standing.draft:
        return "DRAFT: do not cut, order or build" + ("; invented data" if invented else "")
    return "Invented data" if invented else "Not an approval; local codes rule"


def printing(plan: Plan) -> Printing:
    """Length style and words of this job."""
    return Printing(plan.style, plan.words)
