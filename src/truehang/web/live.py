"""How does one device see what another changed? A stream of events for each open job.

One task a process asks the store, once a second, for the state of the jobs that are open
somewhere: so a change is seen from whichever process made it.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections import Counter
from collections.abc import AsyncIterator

from fastapi import APIRouter, HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import StreamingResponse

from truehang.store import Away, NotFound, Pulse, Store, device_of
from truehang.web.settings import Settings

SECONDS_BETWEEN = 1.0
SECONDS_STILL = 15.0
MOST_STREAMS = 200
MOST_OF_ONE = 12
"""Streams of one device: a browser opens six at most (common practice, no source)."""


class Live:
    """Who listens to which job, and what they were last told. None tells that the store does not
    answer; the state that stands follows as soon as it does."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._listeners: dict[str, set[asyncio.Queue[Pulse | None]]] = {}
        self._task: asyncio.Task[None] | None = None
        self._of_device: Counter[str] = Counter()

    @contextlib.asynccontextmanager
    async def listen(
        self, job: str, now: Pulse, device: str
    ) -> AsyncIterator[asyncio.Queue[Pulse | None]]:
        """A queue of the job's states: first the one that stands, then each new one."""
        queue: asyncio.Queue[Pulse | None] = asyncio.Queue(maxsize=16)
        queue.put_nowait(now)
        self._listeners.setdefault(job, set()).add(queue)
        self._of_device[device] += 1
        if self._task is None or self._task.done():
            self._task = asyncio.create_task(self._watch({job: now}))
        try:
            yield queue
        finally:
            self._of_device -= Counter([device])  # and forgets a device that has none left
            self._listeners[job].discard(queue)
            if not self._listeners[job]:
                del self._listeners[job]

    @property
    def streams(self) -> int:
        """How many listen."""
        return sum(map(len, self._listeners.values()))

    def full(self, device: str) -> bool:
        """Whether one more stream of this device would be too many, of its own or of all."""
        return self.streams >= MOST_STREAMS or self._of_device[device] >= MOST_OF_ONE

    def state(self, job: str) -> Pulse:
        """The state that stands. Raises NotFound."""
        try:
            return self._store.pulse([job])[job]
        except KeyError:
            raise NotFound(f"no job {job!r}") from None

    async def _watch(self, last: dict[str, Pulse]) -> None:
        away = False
        while self._listeners:
            try:
                now = await run_in_threadpool(self._store.pulse, list(self._listeners))
            except Away:
                if not away:
                    for job in self._listeners:
                        self._tell(job, None)
                away = True
            else:
                for job, pulse in now.items():
                    if away or last.get(job, pulse) != pulse:
                        self._tell(job, pulse)
                last, away = now, False
            await asyncio.sleep(SECONDS_BETWEEN)

    def _tell(self, job: str, pulse: Pulse | None) -> None:
        for queue in self._listeners.get(job, ()):
            # A listener that does not read is told the next change instead.
            with contextlib.suppress(asyncio.QueueFull):
                queue.put_nowait(pulse)


def router(store: Store, live: Live, settings: Settings) -> APIRouter:
    """GET /jobs/{job}/live: server-sent events `state` with {"revision", "records"}, `still` while
    nothing changes, and `away` when the store stops to answer."""
    routes = APIRouter(include_in_schema=False)

    def still_paired(request: Request) -> bool:
        secret = request.cookies.get(settings.cookie, "")
        try:
            return not settings.pairing or device_of(store, secret) is not None
        except Away:
            return True  # not known now; asked again soon

    @routes.get("/jobs/{job}/live")
    async def stream(request: Request, job: str) -> StreamingResponse:
        device = request.state.device.id
        if live.full(device):
            raise HTTPException(503, "too many pages are open; close some", {"Retry-After": "30"})
        now = await run_in_threadpool(live.state, job)

        async def events() -> AsyncIterator[str]:
            async with live.listen(job, now, device) as queue:
                yield "retry: 3000\n\n"
                while True:
                    try:
                        pulse = await asyncio.wait_for(queue.get(), SECONDS_STILL)
                    except TimeoutError:
                        if not await run_in_threadpool(still_paired, request):
                            return
                        yield "event: still\ndata: {}\n\n"
                        continue
                    if pulse is None:
                        yield "event: away\ndata: {}\n\n"
                        continue
                    told = {"revision": pulse.revision, "records": pulse.records}
                    yield f"event: state\ndata: {json.dumps(told)}\n\n"

        return StreamingResponse(
            events(), media_type="text/event-stream", headers={"Cache-Control": "no-store"}
        )

    return routes
