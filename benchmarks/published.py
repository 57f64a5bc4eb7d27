"""Where do published instances stand, and which of them are run?"""

from __future__ import annotations

import os
import random
from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

ROOT = Path(__file__).resolve().parent.parent
Case = TypeVar("Case")


def data_folder(kind: str) -> Path | None:
    """The folder of the published instances of this kind, or None where there is none."""
    given = os.environ.get("TRUEHANG_DATA")
    folder = (Path(given) if given else ROOT.parent / "shared" / "data") / kind
    return folder if folder.is_dir() else None


def drawn(cases: Sequence[Case], number: int | None) -> list[Case]:
    """So many of these cases, the same each time; all where that is no fewer, or none is said."""
    if number is None or number >= len(cases):
        return list(cases)
    return random.Random(0).sample(cases, number)
