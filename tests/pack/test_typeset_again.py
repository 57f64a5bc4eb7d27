"""Is a pack made where the typesetter fails at its own tags? It does for some page breaks
("internal error: parent group", seen with the granary's pack in feet and inches)."""

from __future__ import annotations

import pytest
import typst

from truehang.pack import typeset
from truehang.pack.content import Document


def test_pages_break_elsewhere_where_the_typesetter_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[int] = []

    def failing(document: Document, shorter: int) -> bytes:
        tried.append(shorter)
        if shorter < 4:
            raise typst.TypstError("internal error: parent group")
        return b"%PDF"

    monkeypatch.setattr(typeset, "_set", failing)
    assert typeset.pdf(None) == b"%PDF"  # type: ignore[arg-type]
    assert tried == [0, 2, 4]

    def wrong(document: Document, shorter: int) -> bytes:
        tried.append(shorter)
        raise typst.TypstError("unknown variable")

    tried.clear()
    monkeypatch.setattr(typeset, "_set", wrong)
    with pytest.raises(typst.TypstError, match="unknown variable"):
        typeset.pdf(None)  # type: ignore[arg-type]
    assert tried == [0]
