"""How is the app put together? Gate, pages, API, files and live link over one store."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib import resources
from pathlib import Path

from fastapi import Depends, FastAPI
from markupsafe import Markup
from starlette.middleware.gzip import GZipMiddleware
from starlette.staticfiles import StaticFiles

from truehang import __version__
from truehang import catalogue as catalogues
from truehang.catalogue import Catalogue
from truehang.plan import answered, complete
from truehang.store import Store, clear
from truehang.web import api, devices, files, install, live, offline, pages, pair, troubles
from truehang.web.health import Watched
from truehang.web.making import Packs
from truehang.web.planning import PlanningProcess, plan_of
from truehang.web.plans import Lately, Plans
from truehang.web.security import Guard, csrf_checked
from truehang.web.settings import Settings
from truehang.web.stages import stages

MOST_DRAWN = 4096
"""Drawings that are kept, some 6 kB each."""


def create_app(
    store: Store,
    settings: Settings,
    catalogue: Catalogue | None = None,
    planner: PlanningProcess | None = None,
) -> FastAPI:
    """The whole app over a store. Everything in it is for paired devices only, but /pair.

    Plans are made by `planner`, of the same catalogue, or here where there is none.
    """
    known = catalogue or catalogues.load()
    plans = Plans(
        planner or (lambda document: plan_of(document, known)),
        lambda plan, rooms: answered(plan, known, *rooms),
        ahead=planner is not None,
    )
    packs = Packs(settings.made, lambda plan: complete(plan, known))

    @asynccontextmanager
    async def life(_app: FastAPI) -> AsyncIterator[None]:
        clear(store)  # what was deleted a month ago
        yield
        packs.close()
        plans.close()
        if planner is not None:
            planner.close()

    app = FastAPI(
        title="Truehang",
        version=__version__,
        lifespan=life,
        dependencies=[Depends(csrf_checked)],
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
    )
    app.state.plans, app.state.packs = plans, packs
    app.state.stages = stages()
    app.state.drawn = Lately[Markup](MOST_DRAWN)
    troubles.answer(app)
    static = Path(str(resources.files("truehang.web") / "static"))
    app.mount("/static", StaticFiles(directory=static))
    app.include_router(pair.router(store, settings))
    app.include_router(devices.router(store, settings))
    app.include_router(offline.router(static))
    app.include_router(install.router())
    app.include_router(api.router(store, plans, packs))
    app.include_router(live.router(store, live.Live(store), settings))
    app.include_router(files.router(store, packs))
    app.state.desk = pages.desk_of(store, known, settings.zone)
    app.include_router(pages.routes(app.state.desk))
    app.add_middleware(GZipMiddleware, minimum_size=1000, compresslevel=4)
    app.add_middleware(Guard, store=store, settings=settings)
    app.add_middleware(Watched, store=store)
    return app
