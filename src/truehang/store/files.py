"""Where do photos and issued documents lie? As files named by their own sha256.

A file is on the disk, whole and flushed, before anything names it; the same bytes are kept once.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from truehang.store import private
from truehang.store.troubles import Away

MOST_PHOTO_BYTES = 20 * 1024 * 1024
_CHUNK = 1 << 20
MOST_PIXELS = 100_000_000
PHOTO_TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}


class FileRefused(ValueError):
    """An upload that is not taken; the message says why and what to send instead."""


class FileDamaged(RuntimeError):
    """A kept file is missing or its bytes are no longer what they were."""


@dataclass(frozen=True, slots=True)
class Files:
    """A folder of content-addressed files."""

    root: Path

    def path(self, sha256: str) -> Path:
        """Where the file with this hash lies."""
        if len(sha256) != 64 or not set(sha256) <= set("0123456789abcdef"):
            raise FileDamaged(f"{sha256!r} is not the name of a kept file")
        return self.root / sha256[:2] / sha256

    def keep(self, data: bytes) -> str:
        """Keep these bytes and return their sha256. Flushed to the disk before it returns.

        Raises Away where the disk takes nothing now.
        """
        sha256 = hashlib.sha256(data).hexdigest()
        path = self.path(sha256)
        if path.exists():
            return sha256
        try:
            private.write(path, [data])
        except OSError as broken:
            raise _away(broken) from broken
        return sha256

    def take(self, sha256: str, chunks: Iterable[bytes]) -> bool:
        """Keep a file that comes piece by piece, under the name that it must have. Whether it was
        not there before. Raises FileDamaged where its bytes are others, and Away."""
        path = self.path(sha256)
        if path.exists():
            return False
        try:
            private.write(path, _held(sha256, chunks))
        except OSError as broken:
            raise _away(broken) from broken
        return True

    def forget(self, sha256: str) -> None:
        """Take away a file that nothing names."""
        self.path(sha256).unlink(missing_ok=True)

    def chunks(self, sha256: str) -> Iterator[bytes]:
        """The bytes piece by piece, checked against their name at the end. Raises FileDamaged."""
        try:
            with self.path(sha256).open("rb") as stream:
                yield from _held(sha256, iter(lambda: stream.read(_CHUNK), b""))
        except OSError as broken:
            raise FileDamaged(f"{sha256}: can't be read ({broken.strerror}); restore it") from None

    def read(self, sha256: str) -> bytes:
        """The bytes, checked against their name. Raises FileDamaged."""
        return b"".join(self.chunks(sha256))

    def names(self) -> Iterator[str]:
        """The hashes of all kept files, in order."""
        yield from sorted(path.name for path in self.root.glob("??/*") if path.name[0] != ".")


def _away(broken: OSError) -> Away:
    return Away(
        f"the folder of photos and papers can't be written ({broken.strerror}); nothing was changed"
    )


def _held(sha256: str, chunks: Iterable[bytes]) -> Iterator[bytes]:
    """The same pieces, held against the name of the whole."""
    whole = hashlib.sha256()
    for chunk in chunks:
        whole.update(chunk)
        yield chunk
    if whole.hexdigest() != sha256:
        raise FileDamaged(f"{sha256}: its bytes have changed; restore it from a backup")


def _decode(data: bytes) -> None:
    """Read a picture to its end; raises OSError where it was cut short."""
    from PIL import Image

    with Image.open(BytesIO(data), formats=tuple(PHOTO_TYPES)) as image:
        image.draft("L", (1, 1))  # a JPEG is read whole, but kept at an eighth of its size
        image.load()
        # Where the end was lost and blank space was kept in its place, readers fill in grey.
        if image.format == "JPEG" and b"\xff\xd9" not in data[len(data) // 2 :]:
            raise OSError("no end of image")
        if image.format == "WEBP" and not _webp_whole(data):
            raise OSError("no end of image")


_MOST_BLANK = 32
"""Zero bytes at the end of a WebP's coded picture: flat ones of any size were seen to end in three
at most, one that was cut short and filled up ends in as many as were lost."""


def _webp_whole(data: bytes) -> bool:
    """Whether the parts of a WebP (RIFF: a name, a length and as many bytes, evened up) reach as
    far as they say, and no coded picture among them ends in blank space."""
    at, end = 12, min(len(data), 8 + int.from_bytes(data[4:8], "little"))
    while at + 8 <= end:
        name, size = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "little")
        body = data[at + 8 : at + 8 + size]
        blank = len(body) - len(body.rstrip(b"\0"))
        if len(body) < size or not name.strip(b"\0"):
            return False
        if name in (b"VP8 ", b"VP8L", b"ANMF") and blank > _MOST_BLANK:
            return False
        at += 8 + size + size % 2
    return True


def photo_type(data: bytes) -> str:
    """The media type of a photo, by its content. Raises FileRefused for anything else."""
    if len(data) > MOST_PHOTO_BYTES:
        raise FileRefused(
            f"photo: {len(data) / 1e6:.1f} MB is more than {MOST_PHOTO_BYTES / 1e6:.0f} MB; "
            "send a smaller one"
        )
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(BytesIO(data), formats=tuple(PHOTO_TYPES)) as image:
            width, height = image.size
            kind = image.format
            if width * height > MOST_PIXELS:
                raise FileRefused(f"photo: {width} x {height} is too large; send a smaller one")
            image.verify()
        if kind != "PNG":  # whose every part was just held against its check sum
            _decode(data)
    except FileRefused:
        raise
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise FileRefused("photo: not a JPEG, PNG or WebP picture; send one of those") from None
    return PHOTO_TYPES[kind or ""]
