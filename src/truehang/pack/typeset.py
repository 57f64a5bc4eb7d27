"""How does a document become a PDF that is the same, byte for byte, on every machine?

Typst lays out the templates beside this module. It sees four font files and nothing of the
machine: the fonts' folder holds each style twice (TrueType and OpenType), and which one wins would
depend on the order of the folder's listing, so the four are handed over in a folder of their own.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import resources
from pathlib import Path

from truehang.lengths import held
from truehang.pack.content import Document
from truehang.plain import to_json

_FACES = ("Regular", "Semibold", "Bold", "It")


@contextmanager
def font_folder() -> Iterator[Path]:
    """A folder that holds only the faces that the documents use."""
    with tempfile.TemporaryDirectory(prefix="truehang-fonts-") as folder:
        files = resources.files("font_source_sans_pro") / "files"
        for face in _FACES:
            name = f"SourceSansPro-{face}.ttf"
            with resources.as_file(files / name) as original:
                shutil.copyfile(original, Path(folder) / name)
        yield Path(folder)


def pdf(document: Document) -> bytes:
    """The document as PDF/UA-1 (ISO 14289-1): tagged, with title, language, bookmarks and page
    labels, and no date in it.

    Where a text has a sign that the typeface lacks, it is printed as a box, and the file is tagged
    all the same but can't be called PDF/UA. Where the typesetter fails at its own tags, as it does
    for some page breaks, the pages are made a little shorter, so that they break elsewhere.
    """
    import typst

    for shorter in SHORTER:
        try:
            return _set(document, shorter)
        except typst.TypstError as broken:
            if _OWN_FAULT not in str(broken) or shorter == SHORTER[-1]:
                raise
    raise AssertionError("unreachable")


SHORTER = (0, 2, 4, 7)
"""By how much the pages are shorter at each try, mm."""
_OWN_FAULT = "internal error"


def _set(document: Document, shorter: int) -> bytes:
    """The document on pages that are shorter by so much, mm."""
    import typst

    data = held(to_json(document))
    templates = resources.files(__package__) / "templates"
    with font_folder() as fonts, resources.as_file(templates) as folder:
        compiler = typst.Compiler(
            folder / "pack.typ",
            root=folder,
            font_paths=typst.Fonts(
                include_system_fonts=False, include_embedded_fonts=False, font_paths=[fonts]
            ),
            sys_inputs={"document": data, "shorter": str(shorter)},
        )
        try:
            return _one(compiler.compile(format="pdf", pdf_standards="ua-1"))
        except typst.TypstError as broken:
            if _NO_SIGN not in str(broken):
                raise
            return _one(compiler.compile(format="pdf"))


_NO_SIGN = "could not be displayed with font"


def _one(compiled: object) -> bytes:
    """A PDF is one file, though other formats would be several."""
    assert isinstance(compiled, bytes)
    return compiled
