"""How is the app put together? Gate, pages, API, files and live link over one store."""

from __future__ import annotations

from importlib import resources

from fastapi import Depends, FastAPI
from starlette.staticfiles import StaticFiles

from truehang import __version__
from truehang import catalogue as catalogues
from truehang.catalogue import Catalogue
from truehang.store import Store
from truehang.web import pages, pair
from truehang.web.plans import Plans
from truehang.web.security import Guard, csrf_checked
from truehang.web.settings import Settings


def create_app(store: Store, settings: Settings, catalogue: Catalogue | None = None) -> FastAPI:
    """The whole app over a store. Everything in it is for paired devices only, but /pair."""
    catalogue = catalogue or catalogues.load()
    app = FastAPI(
        title="Truehang",
        version=__version__,
        dependencies=[Depends(csrf_checked)],
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
    )
    app.state.store, app.state.settings, app.state.catalogue = store, settings, catalogue
    app.state.plans = Plans(catalogue)
    static = str(resources.files("truehang.web") / "static")
    app.mount("/static", StaticFiles(directory=static))
    app.include_router(pair.router(store, settings))
    app.include_router(pages.router(store, catalogue))
    app.add_middleware(Guard, store=store, settings=settings)
    return app
