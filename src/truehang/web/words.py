"""What is a thing called here, and what can be chosen in a form? Words and catalogue names."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from truehang.catalogue import Catalogue
from truehang.job.models import USUAL_INSTRUMENTS, Job
from truehang.web.forms import Choices

_NOUNS = (
    "plasterboard", "architrave", "skirting", "noggin", "lintel", "outlet", "top plate",
    "bottom plate", "timber", "electrician",
)  # fmt: skip
"""Words that can be put for ours wherever they stand; "set", a verb too, can't."""


def saying(words: Mapping[str, str]) -> Callable[[str], str]:
    """What puts the region's word for each of our nouns into a text."""
    told = {noun: words.get(noun.replace(" ", "-"), noun) for noun in _NOUNS}
    told = {noun: word for noun, word in told.items() if word != noun and noun not in word}
    if not told:
        return str
    pattern = re.compile(rf"(?<![\w-])({'|'.join(told)})(s?)(?![\w-])", re.IGNORECASE)

    def put(match: re.Match[str]) -> str:
        word = told[match[1].lower()] + match[2]
        return word[:1].upper() + word[1:] if match[1][0].isupper() else word

    return lambda text: pattern.sub(put, text)


LAYERED = (
    "wall.make_up.face_a", "wall.make_up.face_b", "wishes.lining.face_a", "wishes.lining.face_b",
    "wall.make_up.fill", "wall.make_up.studs",
)  # fmt: skip
"""Where a material is named in the job file."""


def with_own(made: Choices, job: Job) -> Choices:
    """The same with the job's own materials among those that can be chosen."""
    own = tuple((one.id, one.name) for one in job.materials)
    if not own:
        return made
    return {**made, **{key: (*made[key], *own) for face in LAYERED
                       for key in (f"{face}.material",)}}  # fmt: skip


def choices(catalogue: Catalogue) -> Choices:
    """What can be chosen from the catalogue, by the field's path in the job file."""
    any_of = (("any", "any that fits"),)
    none = (("none", "none"),)
    materials = tuple((m.key, m.name) for m in catalogue.materials)
    noises = tuple((n.key, n.name) for n in catalogue.noises)
    made: dict[str, tuple[tuple[str, str], ...]] = {
        "job.region": tuple((r.id, r.name) for r in catalogue.regions),
        "wishes.kit": (*any_of, *((k.id, k.name) for k in catalogue.kits)),
        "wishes.leaf.construction": (*any_of, *((k.id, k.name) for k in catalogue.leaves)),
        "wishes.accessible": (
            *none, ("region", "the region's own rules"),
            *((r.id, r.title) for r in catalogue.access_rules),
        ),
        "sound.noise": noises,
        "sound.receiving.background": noises,
        "floor.instrument": tuple((name, name) for name in USUAL_INSTRUMENTS),
    }  # fmt: skip
    for face in LAYERED:
        made[f"{face}.material"] = materials
    for place in ("meeting", "jamb", "mouth", "head", "floor"):
        suited = [(s.key, s.name) for s in catalogue.seals if place in s.suits]
        other = [(s.key, f"{s.name} (not made for this place)") for s in catalogue.seals
                 if place not in s.suits]  # fmt: skip
        made[f"wishes.seals.{place}"] = (*none, *suited, *other)
    return made
