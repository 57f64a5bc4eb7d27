"""What is cut from which length, for this job alone?"""

from __future__ import annotations

from truehang.catalogue import Catalogue
from truehang.cutting import CuttingPlan
from truehang.plan.cuts import cut
from truehang.plan.model import Plan
from truehang.plan.room import Room


def _ask(plan: Plan, catalogue: Catalogue) -> CuttingPlan | None:
    return None if plan.takeoff is None else cut([plan], catalogue)


ROOM = Room("cutting", _ask)
