"""Which papers does a job need? One PDF pack, the rod at full size, drawings, a spreadsheet."""

from truehang.pack.content import Document
from truehang.pack.files import MANIFEST, PackError
from truehang.pack.make import build, write

__all__ = ["MANIFEST", "Document", "PackError", "build", "write"]
