"""How does a plan become the files of a pack, in memory or in a folder?"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from truehang.pack.files import MANIFEST, manifest, replace_all
from truehang.pack.model import gltf

if TYPE_CHECKING:
    from truehang.plan import Plan

Progress = Callable[[str], object]


def _silent(_text: str) -> None:
    return None


def build(plan: Plan, progress: Progress = _silent) -> dict[str, bytes]:
    """Every file of the pack by its name, the manifest last. Same plan, same bytes.

    `progress` is told in plain words what is being made.
    """
    from truehang.pack import assemble, drawings, sections, sheets, typeset

    printing = assemble.printing(plan)
    progress("drawing")
    album = drawings.album(plan, printing)
    progress("setting the pages")
    documents = assemble.documents(plan, printing, album)
    files = {name: typeset.pdf(document) for name, document in documents.items()}
    progress("printing the rod at full size")
    if (strip := drawings.rod_strip(plan, printing)) is not None:
        files["rod-strip.pdf"] = strip
    progress("writing drawings for other programs")
    files |= drawings.files(album.scenes.values(), plan.standing.stamp)
    progress("writing the spreadsheet")
    files |= {"takeoff-and-rod.xlsx": sheets.workbook(plan, printing)}
    for more in sections.files():
        files |= more(plan, printing)
    if plan.arrangement is not None:
        progress("building the model")
        files["model.glb"] = gltf(plan)
    about = {
        "job": plan.job.job.name,
        "revision": plan.job.job.revision,
        "hash": plan.digest,
        "draft": plan.standing.draft,
        "standing": plan.standing.headline,
        "catalogue": plan.catalogue_version,
    }
    files[MANIFEST] = manifest(files, about)
    return files


def write(plan: Plan, directory: Path, progress: Progress = _silent) -> tuple[Path, ...]:
    """Write the pack into `directory`, all files or none; the paths written.

    Raises PackError when the place can't be written; what was there is then unchanged.
    """
    files = build(plan, progress)
    progress("putting the files in place")
    return replace_all(files, directory)
