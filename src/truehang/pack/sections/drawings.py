"""How will it look, and where is every size? The drawings, true to scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Section
from truehang.pack.drawings import Album, printed
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.plan import Plan


def section(_plan: Plan, _printing: Printing, album: Album) -> tuple[Section, ...]:
    """Elevations, plan section, vertical section and frame set-out, each with its details."""
    groups = (
        ("Elevations", album.elevations),
        ("Plan section", album.plan),
        ("Vertical section", album.upright),
        ("Frame set-out", album.frame),
    )
    return tuple(
        Section(heading, tuple(printed(scene) for scene in scenes), fresh=True)
        for heading, scenes in groups
        if scenes
    )
