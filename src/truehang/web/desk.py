"""What do all pages share? A job as pages see it, how a change is saved, and how a page is drawn.

A change is a function from a document to a document. It is checked as a job file is, so that
what is wrong is said in the same words, and saved as a new revision on the one it was made from.
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable, Hashable, Mapping
from copy import deepcopy
from dataclasses import dataclass
from datetime import datetime
from functools import cache, lru_cache, partial
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.routing import APIRoute
from jinja2 import Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup
from starlette.datastructures import FormData, UploadFile
from starlette.responses import HTMLResponse, RedirectResponse, Response

from truehang.catalogue import Catalogue
from truehang.figures import Figure, Put
from truehang.findings import Finding
from truehang.job import Job, Problem, examine
from truehang.job.file import plain
from truehang.lengths import format_given
from truehang.message import Message
from truehang.money import Money
from truehang.pack.printing import Printing
from truehang.rule import behind, worked
from truehang.situations import SITUATIONS, Situation
from truehang.store import NotFound, Refused, Revision, Saved, Store, new_id
from truehang.web.forms import Choices, Form
from truehang.web.labels import label_of
from truehang.web.papers import offered
from truehang.web.wording import finding_on_page, told_on_page
from truehang.web.words import saying, with_own

if TYPE_CHECKING:
    from truehang.drawing import Scene
    from truehang.fit import Span
    from truehang.lining import Piece
    from truehang.plan import Plan
    from truehang.takeoff import Item

Document = dict[str, Any]
MOST_PIECES = 2048
"""Pieces of pages of each kind that are kept, under a kB each."""


class Wrong(ValueError):
    """A change that makes no valid job. `problems` says field by field what is wrong."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{p.field}: {p.what}; {p.mend}" for p in problems))


@dataclass(frozen=True, slots=True)
class View:
    """A job as a page sees it: one revision, its model, its plan, and how things are printed."""

    revision: Revision
    plan: Plan
    printing: Printing
    form: Form

    @property
    def id(self) -> str:
        """The job's id."""
        return self.revision.job

    @property
    def job(self) -> Job:
        """The job's model."""
        return self.plan.job

    @property
    def document(self) -> Document:
        """The job file as plain values."""
        return self.revision.document


@dataclass(frozen=True, slots=True)
class Desk:
    """The store, the catalogue with what can be chosen from it, and what every page does with
    them. `zone` is the time zone that the firm works in."""

    store: Store
    catalogue: Catalogue
    choices: Choices
    zone: str = ""

    @property
    def today(self) -> str:
        """The day that it is where the firm works; where this machine stands if none was named."""
        zone = ZoneInfo(self.zone) if self.zone else None
        return datetime.fromisoformat(self.store.now()).astimezone(zone).date().isoformat()

    def view(self, request: Request, job: str, *rooms: str) -> View:
        """The newest revision of a job; its plan has the answers of these rooms too, which are
        asked once a plan stands. Raises NotFound."""
        revision = self.store.head(job)
        plan: Plan = request.app.state.plans.of(revision, *rooms)
        printing = Printing(plan.style, plan.words)
        known = with_own(self.choices, plan.job)
        form = Form(plan.style, known, saying(plan.words))
        return View(revision, plan, printing, form)

    def save(
        self,
        request: Request,
        job: str,
        sent: Mapping[str, str],
        change: Callable[[Document], Document],
        what: str,
    ) -> Saved:
        """Save a change that was made from the revision in the field `base`.

        Raises Wrong where it makes no valid job; NotFound and Refused as the store does.
        """
        base = self.base(job, sent)
        return self.store.save(
            job,
            base.number,
            checked(base.document, change),
            request.state.who,
            what[:200],
            op_of(sent),
        )

    def base(self, job: str, sent: Mapping[str, str]) -> Revision:
        """The revision that a form was made from; the newest where it does not say."""
        given = sent.get("base", "")
        if given and not (given.isdecimal() and len(given) < 8):
            raise Refused(f"base: {given[:20]!r} is not a revision; load the page again")
        return self.store.revision(job, int(given)) if given else self.store.head(job)


def op_of(sent: Mapping[str, str]) -> str:
    """The name of a form's write: the one in its field `op`, so that sent twice it is done once."""
    return sent.get("op", "")[:64] or new_id()


def checked(before: Document, change: Callable[[Document], Document]) -> Document:
    """The changed document. Raises Wrong with every problem that the change brings in."""
    after = change(deepcopy(before))
    known = {(p.field, p.what) for p in problems(before)}
    found = tuple(p for p in problems(after) if (p.field, p.what) not in known)
    if found:
        raise Wrong(tuple(map(told_on_page, found)))
    return after


def inside(document: Document, path: tuple[str, ...]) -> Document:
    """The part of a document at a path; empty where nothing stands there."""
    value: Any = document
    for name in path:
        value = value.get(name, {})
    return dict(value)


def problems(document: Document) -> list[Problem]:
    """What is wrong with a job's plain values, in the words of the job file's own check."""
    import json

    return examine(json.dumps(plain(document), ensure_ascii=False))[1]


# ---------------------------------------------------------------- requests and pages


async def sent_form(request: Request) -> dict[str, str]:
    """The texts of a form; a dependency of routes that take one."""
    form: FormData = await request.form()
    # No database keeps a NUL in a text, and no keyboard writes one.
    return {key: value.replace("\0", "") for key, value in form.items() if isinstance(value, str)}


def within(sent: Mapping[str, str], prefix: str = "f.") -> dict[str, str]:
    """The fields of a form whose names begin with a prefix, without it. A part of the job file
    has one, so that its own names (a floor's `base`) can't be taken for the form's."""
    return {key.removeprefix(prefix): text for key, text in sent.items() if key.startswith(prefix)}


async def sent_files(request: Request) -> dict[str, bytes]:
    """The files of a form that are not empty, by field."""
    form: FormData = await request.form()
    files = {
        key: await value.read() for key, value in form.items() if isinstance(value, UploadFile)
    }
    return {key: data for key, data in files.items() if data}


class PageRoute(APIRoute):
    """A route whose troubles are pages too: nothing found, or refused with the mend."""

    def get_route_handler(self) -> Callable[[Request], Awaitable[Response]]:  # type: ignore[override]
        inner = super().get_route_handler()

        async def handle(request: Request) -> Response:
            try:
                return await inner(request)
            except NotFound as trouble:
                return page(request, "trouble.html", 404, title="Not here", text=str(trouble))
            except Wrong as trouble:
                return page(
                    request, "trouble.html", 422, title="That can't be saved", text="",
                    problems=trouble.problems,
                )  # fmt: skip
            except Refused as trouble:
                text = finding_on_page(str(trouble))
                return page(
                    request, "trouble.html", 409, title="Refused", text=text,
                    **await _framed(request),
                )  # fmt: skip

        return handle


_OF_FORMS = frozenset({"csrf", "op", "base", "queue", "back", "seen", "csrf_token"})


async def _framed(request: Request) -> dict[str, Any]:
    """What was refused stays in a form, with the frame of its job around it: what was typed can be
    put right and sent again."""
    if request.method != "POST":
        return {}
    form: FormData = await request.form()
    if any(isinstance(value, UploadFile) for value in form.values()):
        return {"view": _view_around(request)} if _view_around(request) else {}
    kept = [(key, str(value)) for key, value in form.items() if key not in ("csrf", "op")]
    typed = [
        (key, label_of(key.rpartition(".")[2]), value[:2000])
        for key, value in kept if key not in _OF_FORMS and key not in _MACHINE
    ]  # fmt: skip
    still = [(key, value) for key, value in kept if key in _OF_FORMS or key in _MACHINE]
    view = _view_around(request)
    return {"typed": typed[:MOST_TYPED], "still": still} | ({"view": view} if view else {})


_MACHINE = frozenset({"kind", "place", "was", "group", "check", "id", "take", "number", "piece"})
"""Fields that nobody types."""
MOST_TYPED = 40


def _view_around(request: Request) -> View | None:
    """The job whose page something was sent from."""
    desk: Desk | None = getattr(request.app.state, "desk", None)
    job = request.path_params.get("job", "")
    try:
        return desk.view(request, job) if desk and job else None
    except NotFound:
        return None


def routes() -> APIRouter:
    """A router for pages."""
    return APIRouter(route_class=PageRoute, include_in_schema=False)


def page(request: Request, template: str, status: int = 200, **context: Any) -> HTMLResponse:
    """A page from its template. `view`, where there is one, brings the job and its plan."""
    view: View | None = context.get("view")
    printing = view.printing if view else Printing()
    text = _environment().get_template(template).render(
        problems=context.pop("problems", ()),
        stages=request.app.state.stages,
        who=request.state.who,
        csrf=request.state.csrf,
        here=request.url.path,
        op=new_id(),
        printing=printing,
        plan=view.plan if view else None,
        **context,
    )  # fmt: skip
    return HTMLResponse(text, status)


def to(path: str) -> RedirectResponse:
    """Go on to another page, by GET."""
    return RedirectResponse(path, 303)


def after(view_path: str, saved: Saved) -> RedirectResponse:
    """Where a saved change leads: to the page, or to the conflicts where it met any."""
    return to(f"/jobs/{saved.revision.job}/conflicts" if saved.conflicts else view_path)


@cache
def _environment() -> Environment:
    env = Environment(
        loader=PackageLoader("truehang.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    env.filters |= {
        "mm": _length, "fine": _fine, "span": _span,
        "given": _given, "thin": _thin, "bare": _bare, "money": _money, "when": _when,
        "figure": _figure, "worked": _worked, "spoken": _spoken, "asid": _as_id,
        "cutout": _cut_out, "onpage": finding_on_page, "bought": _bought,
        "amount": _amount, "bare_amount": _bare_amount, "unit_here": _unit_here,
    }  # fmt: skip
    env.globals |= {
        "count": _count,
        "drawing": _drawing,
        "offered": offered,
        "situations": _situations,
    }
    parts = env.get_template("parts.html").module
    env.globals |= {
        name: getattr(parts, name)
        for name in ("why", "fig", "hidden", "findings", "standing", "papers", "photo_list")
    }
    # These depend on nothing but what they are given, and look the same on many pages.
    for name in ("sign", "field", "finding", "keys", "page_keys"):
        env.globals[name] = lru_cache(MOST_PIECES)(getattr(parts, name))
    return env


@pass_context
def _length(context: Context, mm: float, plus: bool = False) -> str:
    printing: Printing = context["printing"]
    text = printing.length(mm, plus=plus)
    return f"{text}\u00a0mm" if printing.style == "mm" else text


@pass_context
def _cut_out(context: Context, piece: Piece) -> str:
    """What is cut out of a piece of board."""
    return piece.cut_out(partial(_length, context))


@pass_context
def _fine(context: Context, mm: float, plus: bool = False) -> str:
    printing: Printing = context["printing"]
    text = printing.fine(mm, plus=plus)
    return f"{text}\u00a0mm" if printing.style == "mm" else text


@pass_context
def _span(context: Context, ends: Span | tuple[float, float], unit: bool = False) -> str:
    """From one mark to another, as the marks are printed."""
    printing: Printing = context["printing"]
    low, high = ends if isinstance(ends, tuple) else (ends.low, ends.high)
    text = printing.between(low, high)
    return f"{text}\u00a0mm" if unit and printing.style == "mm" else text


@pass_context
def _given(context: Context, mm: float, unit: bool = True) -> str:
    """A length as it was typed."""
    printing: Printing = context["printing"]
    text = format_given(mm, printing.style).replace(" ", "\u00a0")
    return f"{text}\u00a0mm" if unit and printing.style == "mm" else text


@pass_context
def _thin(context: Context, mm: float) -> str:
    printing: Printing = context["printing"]
    return printing.fine(mm)


@pass_context
def _bare(context: Context, mm: float) -> str:
    printing: Printing = context["printing"]
    return printing.length(mm)


@pass_context
def _amount(context: Context, value: float, unit: str, places: int = 1) -> str:
    """So many of a unit of ours in the unit that is told here."""
    printing: Printing = context["printing"]
    return printing.quantity(value, unit, places)


@pass_context
def _bare_amount(context: Context, value: float, unit: str, places: int = 1) -> str:
    """The same without its unit."""
    printing: Printing = context["printing"]
    return printing.bare(value, unit, places)


@pass_context
def _unit_here(context: Context, unit: str) -> str:
    printing: Printing = context["printing"]
    return printing.unit_of(unit)


@pass_context
def _figure(context: Context, item: Any) -> str:
    """The value of a figure, or of a step's number, with its unit."""
    if isinstance(item.value, Message):
        return str(item.value)
    printing: Printing = context["printing"]
    return printing.figure(item.key, item.value, item.unit, item.ends)


@pass_context
def _worked(context: Context, item: Figure) -> str:
    """The rule behind a figure with the numbers put in; the rule's words where it is no formula."""
    printing: Printing = context["printing"]
    figures = context["plan"].figures

    def put_text(put: Put) -> str:
        known = behind(put, figures)
        if known is not None:
            return _figure(context, known).removesuffix(f"\u00a0{printing.unit_of(known.unit)}")
        return printing.fine(put.value) if put.unit == "mm" else f"{put.value:g}"

    if item.working is None:
        return str(item.rule)
    rule = worked(item, put_text, in_mm=printing.style == "mm")
    return f"{rule} = {_figure(context, item)}"


@pass_context
def _bought(context: Context, item: Item) -> str:
    """How much of something is needed in all: pieces in whole numbers, the rest to a tenth."""
    if item.unit in ("tube", "box"):
        many = f"{item.quantity:.0f}"
        return f"{many} {item.unit}" if many == "1" else f"{many} {_PLURAL[item.unit]}"
    return _amount(context, item.quantity, item.unit)


_PLURAL = {"tube": "tubes", "box": "boxes"}


def _money(minor: int, currency: str) -> str:
    return str(Money(minor, currency))


def _when(text: str) -> Markup:
    """A moment in UTC; the browser puts it into the reader's own time."""
    return Markup('<time datetime="{}">{} UTC</time>').format(
        text, f"{datetime.fromisoformat(text):%Y-%m-%d %H:%M}"
    )


def _spoken(path: str) -> str:
    """A field's path in plain words, the items of lists counted as people count."""
    path = re.sub(r"\[(\d+)\]", lambda at: f", number {int(at[1]) + 1}", path)
    return path.replace("_", " ").replace(".", ", ")


def _as_id(text: str) -> str:
    return re.sub(r"[^a-zA-Z0-9]+", "-", text)


def _count(findings: tuple[Finding, ...]) -> list[tuple[str, int]]:
    """How many findings there are of each severity, the worst first."""
    words = [finding.severity.word for finding in findings]
    return [(word, words.count(word)) for word in ("stop", "hold", "warn", "note") if word in words]


def drawn(request: Request, key: Hashable, scene: Callable[[], Scene]) -> Markup:
    """A scene as it stands inside a page. Kept by its key, which must tell all that it is made of:
    the plan's digest, and what is drawn of it."""
    made: Markup = request.app.state.drawn.of(key, lambda: _drawing(scene()))
    return made


def _drawing(scene: Scene, about: str = "") -> Markup:
    """A scene as SVG inside a page, with its title for those who can't see it."""
    from truehang.drawing import svg

    art = Markup(svg(scene, standalone=False, about=about))
    return Markup('<div class="paper">{}</div>').format(art)


@cache
def _situations() -> tuple[tuple[Situation, Markup], ...]:
    """What can be done to a wall, each with its picture."""
    from truehang.drawing import Sheet, situation_picture

    return tuple(
        (one, _drawing(situation_picture(one.key, one.name, Sheet()), one.shows))
        for one in SITUATIONS
    )
