"""Which plain documents does a plan become? One for the site and one for the office: each has a
cover, the findings, and every section that it is worked from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from truehang.pack.content import Banner, Block, Document, Section, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing
from truehang.pack.sections import build, care, cover, findings, makers

if TYPE_CHECKING:
    from truehang.pack.place import Maker
    from truehang.plan import Plan


@dataclass(frozen=True, slots=True)
class Paper:
    """A part of the pack: its file, what it is called, and how its page labels begin."""

    file: str
    name: str
    label: str


ON_SITE = Paper("site.pdf", "On site", "S")
IN_OFFICE = Paper("office.pdf", "In the office", "O")
TO_KEEP = Paper("care.pdf", care.HEADING, "C")


def documents(plan: Plan, printing: Printing, album: Album) -> dict[str, Document]:
    """The papers of a job's pack as plain sections, by the name of their file: what is taken to
    the wall, what stays in the office and, where something fits, what the customer keeps."""
    site = _sections(makers("site"), plan, printing, album)
    office = _sections(makers("office"), plan, printing, album)
    kept = care.blocks(plan, printing)
    own = {one.heading for one in site}
    elsewhere = {
        one.heading: f"{at} {one.heading} (office part)"
        for at, one in enumerate(office, start=1)
        if one.heading not in own
    }
    if kept:
        elsewhere[care.HEADING] = f"{care.HEADING} ({TO_KEEP.file})"
    front = cover.blocks(plan, printing)
    made = {
        ON_SITE.file: _document(ON_SITE, front, build.numbered(site, elsewhere), plan),
        IN_OFFICE.file: _document(IN_OFFICE, front, office, plan),
    }
    if kept:
        draft = (Banner(f"{plan.standing.headline}."),) if plan.standing.draft else ()
        made[TO_KEEP.file] = _document(TO_KEEP, (*draft, *kept), (), plan)
    return made


def _sections(
    makers: tuple[Maker, ...], plan: Plan, printing: Printing, album: Album
) -> tuple[Section, ...]:
    return tuple(
        made if made.heading == findings.HEADING else _standing(made, plan)
        for maker in makers
        for made in maker(plan, printing, album)
    )


def _document(
    part: Paper, front: tuple[Block, ...], sections: tuple[Section, ...], plan: Plan
) -> Document:
    about = plan.job.job
    language, _, country = plan.region.language.partition("-")
    return Document(
        title=f"{part.name}, issued {about.issued.isoformat()}",
        subtitle=cover.subtitle(plan),
        job=about.title,
        revision=str(about.revision),
        stamp=plan.stamp,
        remark=_remark(plan),
        cover=front,
        sections=sections,
        part=part.name,
        label=part.label,
        language=language,
        country=country,
        paper=plan.region.paper,
    )


def _standing(section: Section, plan: Plan) -> Section:
    """A section that says first what stands in the way of using it."""
    standing = plan.standing
    if not standing.findings:
        return section
    said = f"{standing.counted}. See Findings."
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
