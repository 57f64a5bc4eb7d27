"""What does this job come to? The one place where the rooms are joined."""

from typing import TYPE_CHECKING

from truehang.lazily import offered
from truehang.plan.join import plan
from truehang.plan.model import Plan
from truehang.plan.standing import Standing, pooled, standing_of, told
from truehang.plan.store import Store
from truehang.plan.weigh import WeighedOption

if TYPE_CHECKING:
    from truehang.plan.cuts import cut, cut_and_hold, cut_done, holder
    from truehang.plan.later import answered, complete

__all__ = [
    "Plan",
    "Standing",
    "Store",
    "WeighedOption",
    "answered",
    "complete",
    "cut",
    "cut_and_hold",
    "cut_done",
    "holder",
    "plan",
    "pooled",
    "standing_of",
    "told",
]

__getattr__ = offered(
    __name__,
    cuts=("cut", "cut_and_hold", "cut_done", "holder"),
    later=("answered", "complete"),
)
