"""What does a photo say that nobody meant to send? The place where it was taken, who and with what:
all that a camera writes beside the picture goes, but which way up it is. The picture itself keeps
its bytes."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from io import BytesIO

_JPEG, _PNG = b"\xff\xd8", b"\x89PNG\r\n\x1a\n"
_SAID_PNG = frozenset({b"eXIf", b"tEXt", b"zTXt", b"iTXt", b"tIME"})
_SAID_WEBP = frozenset({b"EXIF", b"XMP "})
_EXIF_AND_XMP = 0b1100
"""The bits of a WebP's header that say that there are such parts."""
_ORIENTATION = 0x0112


def without_place(data: bytes) -> bytes:
    """The same picture without what its camera said; it must be a whole JPEG, PNG or WebP."""
    if data.startswith(_JPEG):
        return _jpeg(data)
    if data.startswith(_PNG):
        return _PNG + b"".join(part for name, part in _png_parts(data) if name not in _SAID_PNG)
    return _webp(data)


def _jpeg(data: bytes) -> bytes:
    kept = [_JPEG, _upright(data)]
    at = 2
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF:  # filling
            at += 1
            continue
        if marker == 0xDA:  # the picture, to the end
            break
        size = 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        # APP1 is Exif and XMP, APP13 the press agencies' notes, FE a comment.
        if marker not in (0xE1, 0xED, 0xFE):
            kept.append(data[at : at + size])
        at += size
    kept.append(_to_its_end(data[at:]))
    return b"".join(kept)


def _to_its_end(picture: bytes) -> bytes:
    """Without what some cameras hang on behind the picture: a second one, with its own notes."""
    at = 0
    while (at := picture.find(b"\xff", at)) >= 0 and at + 1 < len(picture):
        marker = picture[at + 1]
        if marker == 0xD9:
            return picture[: at + 2]
        if marker in (0x00, 0xFF) or 0xD0 <= marker <= 0xD7:  # part of the picture's own data
            at += 1 if marker == 0xFF else 2
            continue
        at += 2 + int.from_bytes(picture[at + 2 : at + 4], "big")
    return picture


def _upright(data: bytes) -> bytes:
    """A part that says which way up the picture is, where it is not as it lies."""
    from PIL import Image

    with Image.open(BytesIO(data)) as image:
        turned = image.getexif().get(_ORIENTATION, 1)
    if turned not in range(2, 9):
        return b""
    fresh = Image.Exif()
    fresh[_ORIENTATION] = turned
    said = fresh.tobytes()
    said = said if said.startswith(b"Exif") else b"Exif\0\0" + said
    return b"\xff\xe1" + struct.pack(">H", len(said) + 2) + said


def _png_parts(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(_PNG)
    while at + 8 <= len(data):
        size = 12 + int.from_bytes(data[at : at + 4], "big")
        name = data[at + 4 : at + 8]
        yield name, data[at : at + size]
        if name == b"IEND":
            return
        at += size


def _webp(data: bytes) -> bytes:
    kept, at = [], 12
    end = min(len(data), 8 + int.from_bytes(data[4:8], "little"))
    while at + 8 <= end:
        name, size = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "little")
        part = data[at : at + 8 + size + size % 2]
        if name == b"VP8X":
            part = part[:8] + bytes([part[8] & ~_EXIF_AND_XMP]) + part[9:]
        if name not in _SAID_WEBP:
            kept.append(part)
        at += 8 + size + size % 2
    body = b"WEBP" + b"".join(kept)
    return b"RIFF" + struct.pack("<I", len(body)) + body
