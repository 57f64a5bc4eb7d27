"""What is ordered from whom, and what is asked for it? Plain values that documents are made of."""

from truehang.ordering.model import (
    Bill,
    BillLine,
    DocumentKind,
    Head,
    OrderLine,
    Party,
    SupplierOrder,
)

__all__ = ["Bill", "BillLine", "DocumentKind", "Head", "OrderLine", "Party", "SupplierOrder"]
