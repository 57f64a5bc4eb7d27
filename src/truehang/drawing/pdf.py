"""How do scenes become a PDF that prints true to scale and is the same on every machine?"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from truehang.drawing import metrics
from truehang.drawing.scene import Scene
from truehang.drawing.sheet import PAPERS
from truehang.drawing.svg import svg

_FACES = ("SourceSansPro-Regular.ttf", "SourceSansPro-Bold.ttf")

_PAGES = """
#let told = json("told.json")
#set document(title: told.title, date: none)
#set text(font: "Source Sans Pro", size: 9pt, fallback: false)
#for sheet in told.sheets {
  page(
    width: sheet.page.at(0) * 1mm,
    height: sheet.page.at(1) * 1mm,
    margin: 0mm,
    {
      place(
        top + left,
        dx: sheet.at.at(0) * 1mm,
        dy: sheet.at.at(1) * 1mm,
        image(sheet.file, width: sheet.size.at(0) * 1mm, height: sheet.size.at(1) * 1mm,
          alt: sheet.title),
      )
      if sheet.framed {
        place(top + left, dx: 10mm, dy: 9mm, text(told.head))
        place(top + right, dx: -10mm, dy: 9mm, text(sheet.number))
        place(bottom + left, dx: 10mm, dy: -8mm, text(told.foot))
      }
    },
  )
}
"""


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What every page says besides its drawing: job, revision, and a line at the foot."""

    job: str
    revision: str
    foot: str = ""


@contextmanager
def font_folder() -> Iterator[Path]:
    """A folder with just the two faces that drawings use.

    The fonts' own folder holds each face twice, and which one wins would depend on the order of
    the folder's listing.
    """
    with tempfile.TemporaryDirectory(prefix="truehang-fonts-") as folder:
        for face in _FACES:
            shutil.copyfile(metrics.font_folder() / face, Path(folder) / face)
        yield Path(folder)


def pdf(scenes: Sequence[Scene], block: TitleBlock) -> bytes:
    """One page for each scene, A4 or its own paper, turned to suit it; no date in it, so
    the same bytes each time.

    A scene as large as the page (a rod strip) is printed without title block. Raises ValueError
    where there is no scene, or one that is larger than A4.
    """
    import typst

    if not scenes:
        raise ValueError("scenes: at least one is needed")
    files: dict[str, bytes] = {"main.typ": _PAGES.encode()}
    sheets = []
    for number, scene in enumerate(scenes, 1):
        name = f"{number}.svg"
        files[name] = svg(scene).encode()
        page, at, framed = _place(scene)
        sheets.append(
            {
                "file": name,
                "title": scene.title,
                "page": page,
                "at": at,
                "size": scene.paper,
                "framed": framed,
                "number": f"{number} / {len(scenes)}",
            }
        )
    told = {
        "title": block.job,
        "head": f"{block.job}, revision {block.revision}",
        "foot": block.foot,
        "sheets": sheets,
    }
    files["told.json"] = json.dumps(told, sort_keys=True).encode()
    with font_folder() as folder:
        fonts = typst.Fonts(
            include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder]
        )
        # The stubs don't know that a document may be given as files by name.
        made: bytes = typst.compile(cast(Any, files), font_paths=fonts, format="pdf")
    return made


def _place(scene: Scene) -> tuple[tuple[float, float], tuple[float, float], bool]:
    """Page size, the drawing's upper left corner on it, and whether a title block goes round."""
    wide, tall = scene.paper
    for paper in PAPERS.values():
        if (round(wide, 3), round(tall, 3)) == paper:
            return paper, (0.0, 0.0), False
    long, short = PAPERS["A4"]
    for page in ((long, short), (short, long)):
        if wide <= page[0] - 20.0 + 1e-6 and tall <= page[1] - 30.0 + 1e-6:
            return page, ((page[0] - wide) / 2, 15.0), True
    raise ValueError(f"scene {scene.key!r}: {wide:.0f} x {tall:.0f} mm is larger than an A4 page")
