"""Which hanger bolts are turned, to be read off by hand on site?"""

from __future__ import annotations

from truehang.catalogue import Catalogue
from truehang.plan.by_hand import TurnTables, turn_tables
from truehang.plan.model import Plan
from truehang.plan.room import Room


def _ask(plan: Plan, catalogue: Catalogue) -> TurnTables | None:
    fit, floor = plan.arrangement, plan.measured.floor
    if fit is None or floor is None:
        return None
    kit = catalogue.kit_in(plan.region, fit.kit_id)
    return TurnTables(turn_tables(fit, kit, floor, plan.style))


ROOM = Room("turns", _ask)
