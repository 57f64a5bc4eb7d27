"""What does it cost, and what is its price? Lines summed with their risk, marked up and taxed."""

from truehang.pricing.cost import PricingInputError, cost, merged
from truehang.pricing.model import (
    Basis,
    Cost,
    CostLine,
    Goods,
    Price,
    PriceLine,
    Stage,
    StageOf,
    Sum,
    Terms,
    Work,
)
from truehang.pricing.price import factor, margin_of, markup_of, price, risk
from truehang.pricing.spread import Share, Spread, Uncertain, spread

__all__ = [
    "Basis",
    "Cost",
    "CostLine",
    "Goods",
    "Price",
    "PriceLine",
    "PricingInputError",
    "Share",
    "Spread",
    "Stage",
    "StageOf",
    "Sum",
    "Terms",
    "Uncertain",
    "Work",
    "cost",
    "factor",
    "margin_of",
    "markup_of",
    "merged",
    "price",
    "risk",
    "spread",
]
