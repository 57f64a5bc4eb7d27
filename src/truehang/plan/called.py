"""What are a wall's faces made of, as people call it here?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from truehang.catalogue.materials import Material
from truehang.job import Job
from truehang.job.models import Layer


def there_now(job: Job) -> tuple[Layer, ...]:
    """What is on both faces before anything is opened."""
    return job.wall.make_up.face_a + job.wall.make_up.face_b


def lined_with(job: Job) -> tuple[Layer, ...]:
    """What both faces are lined with: as wished, else as they were."""
    lining, there = job.wishes.lining, job.wall.make_up
    return (lining.face_a or there.face_a) + (lining.face_b or there.face_b)


def called_here(
    layers: Sequence[Layer], materials: Sequence[Material], words: Mapping[str, str]
) -> str:
    """The materials of these layers, each named once, in the region's words."""
    known = {one.key: one for one in materials}

    def called(key: str) -> str:
        if key.startswith("plasterboard"):
            return words["plasterboard"]
        one = known.get(key)
        return key if one is None else one.on_a_face or one.name.split(",")[0].lower()

    return " and ".join(dict.fromkeys(called(layer.material) for layer in layers))
