"""Which materials has this job, the catalogue's and its own?"""

from __future__ import annotations

from dataclasses import replace

from truehang.catalogue import Catalogue
from truehang.catalogue.materials import Material
from truehang.job import Job
from truehang.job.models import OwnMaterial

USUAL_SPEED = 1800.0
"""Wave speed taken for a material nobody measured, m/s: plasterboard's (from memory)."""
USUAL_LOSS = 0.0125
"""Loss factor taken for it: plasterboard's (Hopkins, Sound Insulation, 2007, Table A2, read in a
transcription)."""


def with_own(catalogue: Catalogue, job: Job) -> Catalogue:
    """The catalogue with the job's own materials beside those it has."""
    if not job.materials:
        return catalogue
    return replace(catalogue, materials=(*catalogue.materials, *map(_material, job.materials)))


def _material(own: OwnMaterial) -> Material:
    kind = {"wood": "wood", "masonry": "masonry"}.get(own.holds, "board")
    return Material.model_validate(
        {
            "key": own.id,
            "name": own.name,
            "on_a_face": own.name,
            "kind": kind,
            "fixing": own.holds,
            "keys": own.keys,
            "density": own.mass * 1000 / own.thickness,
            "wave_speed": own.wave_speed or USUAL_SPEED,
            "loss_factor": USUAL_LOSS,
            "thicknesses": (own.thickness,),
            "surface_densities": ((own.thickness, own.mass),),
            "source": own.note or "the job file",
        }
    )
