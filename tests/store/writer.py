"""A process that writes to a store without a pause and says what it was told is kept.

Run by the tests: `writer.py URL FOLDER JOB NAME COUNT`. One line a write, after it is acknowledged:
"revision OP", "entry OP" or "photo OP".
"""

from __future__ import annotations

import io
import sys
from pathlib import Path

from PIL import Image

from truehang.store import Store, document_of, new_id


def main(url: str, folder: str, job: str, name: str, count: int) -> None:
    store = Store.open(url, Path(folder))
    for number in range(count):
        op = new_id()
        kind = ("revision", "entry", "photo")[number % 3]
        if kind == "revision":
            head = store.head(job)
            document = document_of(head.model())
            document["job"]["title"] = f"{name} {number}"
            readings = document["measure"]["readings"]
            readings.append({**readings[0], "id": f"{name}-{number}"})
            store.save(job, head.number, document, name, f"{name} {number}", op)
        elif kind == "entry":
            store.record(job, "check", f"{name}.{number}", number, True, name, op)
        else:
            picture = io.BytesIO()
            Image.new("RGB", (16, 16), (number % 256, number // 256 % 256, len(name))).save(
                picture, "PNG"
            )
            store.add_photo(job, picture.getvalue(), f"{name} {number}", name, op)
        print(kind, op, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:5], int(sys.argv[5]))
