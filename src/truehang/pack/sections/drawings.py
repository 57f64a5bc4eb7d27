"""How will it look, and where is every size? The drawings, true to scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Section
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.plan import Plan


_GROUPS = (
    ("Elevations", ("elevation-",)),
    ("Plan section", ("plan-",)),
    ("Vertical section", ("vertical-", "section-")),
    ("Frame set-out", ("frame-",)),
)


def section(_plan: Plan, _printing: Printing, album: Album) -> tuple[Section, ...]:
    """Elevations, plan section, vertical section and frame set-out, each with its details."""
    groups = ((heading, album.printed(*starts)) for heading, starts in _GROUPS)
    return tuple(Section(heading, drawn, fresh=True) for heading, drawn in groups if drawn)
