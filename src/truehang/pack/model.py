"""Which models has a plan? A glTF to look at and an IFC for building models, by a file's ending."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.ifc import NothingToModel, ifc

if TYPE_CHECKING:
    from truehang.plan import Plan

ENDINGS = (".glb", ".ifc")


class UnknownEnding(ValueError):
    """A file name whose ending says no kind of model. The message names it and the mend."""


def model(plan: Plan, name: str) -> bytes:
    """The model of the kind that a file name's ending asks for. Same plan, same bytes.

    Raises UnknownEnding, NothingToModel where nothing fits, and IfcMissing where IFC is asked for
    without the extra `ifc`.
    """
    ending = name[name.rfind(".") :].lower() if "." in name else ""
    if ending not in ENDINGS:
        raise UnknownEnding(f"{name}: a model ends in {' or '.join(ENDINGS)}; name the file so")
    return ifc(plan) if ending == ".ifc" else gltf(plan)


def gltf(plan: Plan) -> bytes:
    """The glTF model of a plan, as one binary file. Raises NothingToModel where nothing fits."""
    from truehang.drawing.gltf import glb
    from truehang.drawing.solid import solids

    parts = solids(plan)
    if not parts:
        raise NothingToModel("nothing fits yet, so there is nothing to model; see the findings")
    about = plan.job.job
    told = {
        "job": about.name,
        "revision": str(about.revision),
        "issued": about.issued.isoformat(),
        "hash": plan.digest,
        "catalogue": plan.catalogue_version,
        "note": "Invented data." if about.invented else "",
        "standing": plan.standing.headline,
    }
    kept = {key: value for key, value in told.items() if value}
    return glb(parts, f"{about.name}, revision {about.revision}", kept)
