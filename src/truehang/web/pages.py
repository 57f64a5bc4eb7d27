"""Which pages has the app? The job list, a job's own pages, and the pages of every stage.

What these pages need of the app that mounts them:

- `request.state.who`: who is asking, as it is written into revisions ("Pixel of Sam", "this
  computer").
- `request.state.csrf`: the token that forms send back in the field `csrf` and htmx in the header
  `X-CSRF-Token`. Checking it is the app's business.
- /static serves `web/static` (with `vendor/htmx.min.js`); `offline.js` is loaded by every page.
- Files are served at /jobs/{job}/job.yaml, /jobs/{job}/issued/{revision}/{name},
  /jobs/{job}/issued/{revision}.zip and /jobs/{job}/photos/{op}; changes of a job by other
  devices are told at /jobs/{job}/live.
- A form with the attribute `data-queue` may be kept and sent again as it is when there is no
  signal: its hidden fields `base` (the revision it was made from) and `op` make that safe.
"""

from __future__ import annotations

from fastapi import APIRouter

from truehang.catalogue import Catalogue
from truehang.store import Store


def router(store: Store, catalogue: Catalogue) -> APIRouter:
    """All pages over this store and catalogue."""
    from truehang.web.desk import Desk

    Desk(store, catalogue)
    return APIRouter(include_in_schema=False)
