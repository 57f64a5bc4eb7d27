"""A photo is kept without the place where it was taken, and its picture is the same.

Read back with Pillow, which had no part in taking it out.
"""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from truehang.store.exif import without_place

GPS, MAKE, ORIENTATION = 0x8825, 0x010F, 0x0112
XMP = b"<x:xmpmeta><exif:GPSLatitude>48,51.5N</exif:GPSLatitude></x:xmpmeta>"


def photo(kind: str, turned: int = 6, **more: Any) -> bytes:
    exif = Image.Exif()
    exif[MAKE] = "a camera"
    exif[ORIENTATION] = turned
    exif[GPS] = {1: "N", 2: (48.0, 51.0, 30.0), 3: "E", 4: (2.0, 17.0, 40.0)}
    picture = Image.effect_noise((64, 48), 60).convert("RGB")
    out = BytesIO()
    picture.save(out, kind, exif=exif.tobytes(), **more)
    return out.getvalue()


@pytest.mark.parametrize(
    ("kind", "more"),
    [
        ("JPEG", {"comment": "at home", "xmp": XMP}), ("JPEG", {"progressive": True}),
        ("PNG", {}), ("WEBP", {"xmp": XMP}), ("WEBP", {"lossless": True}),
    ],
)  # fmt: skip
def test_the_place_goes_and_the_picture_stays(kind: str, more: dict[str, Any]) -> None:
    before = photo(kind, **more)
    with Image.open(BytesIO(before)) as image:
        assert image.getexif().get_ifd(GPS)  # it was there
        pixels = image.convert("RGB").tobytes()
    after = without_place(before)
    with Image.open(BytesIO(after)) as image:
        assert not image.getexif().get_ifd(GPS)
        assert MAKE not in image.getexif()
        assert image.convert("RGB").tobytes() == pixels
        assert kind != "JPEG" or image.getexif()[ORIENTATION] == 6
    assert b"GPSLatitude" not in after
    assert b"at home" not in after
    assert without_place(after) == after


def test_what_hangs_behind_a_picture_goes_too() -> None:
    one = photo("JPEG", turned=1)
    two = without_place(one + photo("JPEG"))
    assert two == without_place(one)
    assert two.count(b"Exif") == 0
