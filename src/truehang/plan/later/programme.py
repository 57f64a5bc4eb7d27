"""Who comes when? Asked of one job by itself; several are pooled at the prompt."""

from __future__ import annotations

from dataclasses import replace

from truehang.catalogue import Catalogue
from truehang.plan.model import Plan
from truehang.plan.programme_tasks import request
from truehang.plan.room import Room
from truehang.programme.make import programme
from truehang.programme.model import Programme


def _ask(plan: Plan, catalogue: Catalogue) -> Programme | None:
    asked = request(plan, catalogue)
    if asked is None:
        return None
    made, findings = asked
    answer = programme(made).programme
    return replace(answer, findings=(*findings, *answer.findings))


ROOM = Room("programme", _ask)
