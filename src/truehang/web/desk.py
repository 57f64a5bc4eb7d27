"""What do all pages share? The store, the catalogue, plans that are kept, and the templates."""

from __future__ import annotations

from dataclasses import dataclass

from truehang.catalogue import Catalogue
from truehang.store import Store


@dataclass(frozen=True)
class Desk:
    """What a stage works with."""

    store: Store
    catalogue: Catalogue
