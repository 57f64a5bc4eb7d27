"""How does one device see what another changed? A stream of events for each open job.

One task a process asks the store, once a second, for the state of the jobs that are open
somewhere: so a change is seen from whichever process made it.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections.abc import AsyncIterator

from fastapi import APIRouter, HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import StreamingResponse

from truehang.store import Pulse, Store, device_of
from truehang.web.settings import Settings

SECONDS_BETWEEN = 1.0
SECONDS_STILL = 15.0
MOST_STREAMS = 200


class Live:
    """Who listens to which job, and what they were last told."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._listeners: dict[str, set[asyncio.Queue[Pulse]]] = {}
        self._task: asyncio.Task[None] | None = None

    @contextlib.asynccontextmanager
    async def listen(self, job: str) -> AsyncIterator[asyncio.Queue[Pulse]]:
        """A queue of the job's states: first the one that stands, then each new one."""
        queue: asyncio.Queue[Pulse] = asyncio.Queue(maxsize=16)
        queue.put_nowait(await run_in_threadpool(self._one, job))
        self._listeners.setdefault(job, set()).add(queue)
        if self._task is None or self._task.done():
            self._task = asyncio.create_task(self._watch())
        try:
            yield queue
        finally:
            self._listeners[job].discard(queue)
            if not self._listeners[job]:
                del self._listeners[job]

    @property
    def streams(self) -> int:
        """How many listen."""
        return sum(map(len, self._listeners.values()))

    def _one(self, job: str) -> Pulse:
        return self._store.pulse([job])[job]

    async def _watch(self) -> None:
        last: dict[str, Pulse] = {}
        while self._listeners:
            now = await run_in_threadpool(self._store.pulse, list(self._listeners))
            for job, pulse in now.items():
                if last.get(job, pulse) != pulse:
                    for queue in self._listeners.get(job, ()):
                        # A listener that does not read is told the next change instead.
                        with contextlib.suppress(asyncio.QueueFull):
                            queue.put_nowait(pulse)
            last = now
            await asyncio.sleep(SECONDS_BETWEEN)


def router(store: Store, live: Live, settings: Settings) -> APIRouter:
    """GET /jobs/{job}/live: server-sent events `state` with {"revision", "records"}."""
    routes = APIRouter(include_in_schema=False)

    def still_paired(request: Request) -> bool:
        secret = request.cookies.get(settings.cookie, "")
        return not settings.pairing or device_of(store, secret) is not None

    @routes.get("/jobs/{job}/live")
    async def stream(request: Request, job: str) -> StreamingResponse:
        if live.streams >= MOST_STREAMS:
            raise HTTPException(503, "too many pages are open; close some", {"Retry-After": "30"})
        await run_in_threadpool(store.head, job)

        async def events() -> AsyncIterator[str]:
            async with live.listen(job) as queue:
                yield "retry: 3000\n\n"
                while True:
                    try:
                        pulse = await asyncio.wait_for(queue.get(), SECONDS_STILL)
                    except TimeoutError:
                        if not await run_in_threadpool(still_paired, request):
                            return
                        yield ": still here\n\n"
                        continue
                    told = {"revision": pulse.revision, "records": pulse.records}
                    yield f"event: state\ndata: {json.dumps(told)}\n\n"

        return StreamingResponse(
            events(), media_type="text/event-stream", headers={"Cache-Control": "no-store"}
        )

    return routes
