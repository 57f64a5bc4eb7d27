"""How is a job found again? By parts of words of its name and title, whatever their
case or accents."""

from __future__ import annotations

import unicodedata

from sqlalchemy import ColumnElement, and_

MOST_WORDS = 8


def sought(name: str, title: str) -> str:
    """What is kept of a job's name and title to find it by."""
    return _folded(f"{name} {title}")


def found(column: ColumnElement[str], search: str) -> ColumnElement[bool]:
    """The condition that every word of a search is in what was kept."""
    words = _folded(search).split()[:MOST_WORDS]
    return and_(True, *(column.contains(word, autoescape=True) for word in words))


def _folded(text: str) -> str:
    """Without case and accents: databases fold characters beyond ASCII differently, or not."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(character for character in plain if not unicodedata.combining(character))
