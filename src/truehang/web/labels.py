"""What is a field of the job file called on a page?"""

from __future__ import annotations

_LABELS = {
    "x": "x along the wall",
    "z": "z up",
    "from_x": "left edge, x",
    "to_x": "right edge, x",
    "from_z": "lower edge, z",
    "to_z": "upper edge, z",
    "face_a": "Layers of face A, room inwards",
    "face_b": "Layers of face B, room inwards",
    "side_b": "side B's floor",
    "id": "short name",
    "to_come": "floor finish still to come",
    "over": "over a length of",
    "at": "where",
    "print": "lengths printed as",
    "sigma": "standard uncertainty",
}


def label_of(name: str) -> str:
    """What a field is called on a page, by its name in the job file."""
    return _LABELS.get(name, name.replace("_", " "))
