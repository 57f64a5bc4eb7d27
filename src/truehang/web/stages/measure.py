"""Measure: what was read at the wall, is it right, and will a frame go in?"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Depends, Request
from pydantic import BaseModel, ValidationError
from starlette.responses import Response

from truehang.job import READINGS, Job, Problem
from truehang.job import models as m
from truehang.lengths import said
from truehang.measure import FitChance, Measured, fit_chance
from truehang.plan.readings import measure as measure_of
from truehang.reading import KINDS
from truehang.store import FileRefused, NotFound, Refused
from truehang.store.merge import ABSENT, put
from truehang.web import desk as d
from truehang.web.desk import Desk, Document, View, Wrong, inside
from truehang.web.forms import Field
from truehang.web.signing import signatures
from truehang.web.stages import Stage
from truehang.web.stages import _opening as opening
from truehang.web.stages._pasted import group_of, pasted
from truehang.web.wording import finding_on_page

Sent = Annotated[dict[str, str], Depends(d.sent_form)]
MOST_TEXT = 8000
"""Characters of a pasted list."""
Files = Annotated[dict[str, bytes], Depends(d.sent_files)]


@dataclass(frozen=True, slots=True)
class FilledPart:
    """A part of the job file that is filled in on a page of its own."""

    title: str
    lead: str
    path: tuple[str, ...]
    model: type[BaseModel]
    only: tuple[str, ...] = ()
    skip: tuple[str, ...] = ()


PARTS = {
    "floor": FilledPart(
        "Floor", "Heights from one level line along the whole run, pockets included.",
        ("floor",), m.Floor,
    ),
    "services": FilledPart(
        "Services", "What is on or in the wall, and what stands in the way. Treat every cable as "
        "live and every pipe as full: licensed trades isolate, prove dead and move.",
        ("wall",), m.Wall, ("services", "obstacles"),
    ),
    "wall": FilledPart(
        "Wall", "The run, and what it is made of.", ("wall",), m.Wall,
        ("situation", "old", "stays", "datum", "run", "ceiling", "make_up", "built", "fire_rated",
         "acoustic_rated", "escape_route", "note"),
    ),
    "framing": FilledPart(
        "Framing in the wall", "What was found of it, by knocking, detector, pilot holes or with "
        "one lining off. What nobody is sure of is not counted on.",
        ("wall", "framing"), m.FoundFraming,
    ),
    "over": FilledPart(
        "Over the opening", "What is there that the track might hang from. What nobody has seen "
        "is not counted on: leave it unknown.", ("wall", "over"), m.Over,
    ),
    "load": FilledPart(
        "What it carries", "Until it is opened up and recorded, the wall counts as load-bearing. "
        "If you can't tell, an engineer decides.", ("wall", "evidence"), m.Evidence,
    ),
    "tools": FilledPart(
        "Instruments", "How sure one reading is, one sigma. The usual ones need no entry.",
        ("measure",), m.Measure, skip=("readings",),
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the readings say by now: of one reading where `id` names it, and of them all."""

    id: str
    state: opening.State
    text: str
    measured: Measured
    chance: FitChance | None


@dataclass(frozen=True, slots=True)
class ReadingForm:
    """The form for one reading: a new one where `id` is empty. `most` is the largest number that
    it takes as typed, where it is typed in millimetres; `onward` the page of the next form;
    `begins` what it begins with as one beside it does; `quick` what one tap saves, and `lengths`
    which lengths of a level can be tapped."""

    key: str
    kind: str
    place: str
    id: str
    label: str
    takes: tuple[str, ...]
    value: str
    main: tuple[Field, ...]
    more: tuple[Field, ...]
    sign: str
    open: bool
    most: float | None
    onward: str
    begins: str
    quick: tuple[str, ...]
    lengths: tuple[str, ...]


def _routes(desk: Desk) -> APIRouter:
    routes = d.routes()
    _typing_routes(routes, desk)
    _reading_routes(routes, desk)
    _list_routes(routes, desk)
    _part_routes(routes, desk)
    return routes


def _show(
    desk: Desk, request: Request, job: str, asked: Mapping[str, str], status: int = 200, **more: Any
) -> Response:
    """The sketch with its forms, and what the readings say."""
    view = desk.view(request, job)
    measured = view.plan.measured
    there = opening.groups(view.job)
    group = asked.get("group", "") if asked.get("group", "") in there else next(iter(there))
    found = opening.targets(view.job, measured, group)
    state = opening.states(view.job, measured)
    return d.page(
        request, "stages/measure.html", status, view=view, group=group, groups=there,
        parts=PARTS, part="", targets=found, state=state,
        entries=_entries(view, group, asked), words=opening.WORDS,
        sketch=opening, label=opening.label,
        verdict=_verdict(view, measured, asked.get("after", "")),
        photos=[p for p in desk.store.photos(job) if p.pin.startswith("reading.")],
        given=signatures(desk, view), base=asked.get("base", ""), **more,
    )  # fmt: skip


def _typing_routes(routes: APIRouter, desk: Desk) -> None:
    """The page, and what is said while a reading is being typed."""

    @routes.get("")
    def measure(request: Request, job: str) -> Response:
        return _show(desk, request, job, request.query_params)

    @routes.post("/live")
    def live(request: Request, job: str, sent: Sent) -> Response:
        view = desk.view(request, job)
        try:
            document = _with_reading(view, sent)(dict(view.document))
            typed = Job.model_validate(document)
        except (ValidationError, Refused, Wrong) as wrong:
            text = _first(wrong) if isinstance(wrong, ValidationError) else str(wrong)
            return d.page(
                request, "stages/measure_verdict.html", view=view,
                verdict=Verdict(sent.get("id", ""), "note", text, view.plan.measured,
                                view.plan.chance),
            )  # fmt: skip
        measured = measure_of(typed)
        return d.page(
            request, "stages/measure_verdict.html", view=view,
            verdict=_verdict(view, measured, sent.get("id", "")),
        )  # fmt: skip


def _reading_routes(routes: APIRouter, desk: Desk) -> None:
    """A reading is saved, or taken out."""

    @routes.post("/reading")
    def save(request: Request, job: str, sent: Sent) -> Response:
        view = desk.view(request, job)
        name = opening.label(sent.get("kind", ""), sent.get("place", ""))
        sent = sent | {"id": _own_name(view.document, desk.base(job, sent).document, sent)}
        try:
            saved = desk.save(
                request, job, sent, _with_reading(view, sent), f"{name}: {sent.get('value', '')}"
            )
        except Wrong as wrong:
            return _show(desk, request, job, sent, 422, problems=wrong.problems)
        return d.after(_after(desk.view(request, job), sent), saved)

    @routes.post("/remove")
    def remove(request: Request, job: str, sent: Sent) -> Response:
        name = sent.get("id", "")

        def change(document: Document) -> Document:
            there = document.get("measure", {}).get("readings", [])
            if name not in {reading["id"] for reading in there}:
                raise NotFound(f"no reading {name!r}; it may be gone already")
            return put(document, ("measure", "readings", name), ABSENT)  # type: ignore[no-any-return]

        saved = desk.save(request, job, sent, change, f"{name} taken out")
        return d.after(f"/jobs/{job}/measure?group={sent.get('group', 'size')}", saved)


def _list_routes(routes: APIRouter, desk: Desk) -> None:
    """A list of readings is pasted, shown, and taken."""

    def show(
        request: Request, job: str, text: str = "", status: int = 200, **more: Any
    ) -> Response:
        view = desk.view(request, job)
        return d.page(
            request, "stages/measure_list.html", status, view=view, parts=PARTS, part="list",
            groups=opening.groups(view.job), group="", text=text,
            readings=pasted(text, view.job), **more,
        )  # fmt: skip

    @routes.get("/list")
    def empty(request: Request, job: str) -> Response:
        return show(request, job)

    @routes.post("/list")
    def take(request: Request, job: str, sent: Sent) -> Response:
        text, view = sent.get("text", "")[:MOST_TEXT], desk.view(request, job)
        readings = pasted(text, view.job)
        if sent.get("take") != "yes":
            return show(request, job, text)
        wrong = [one for one in readings if one.reading is None]
        if wrong or not readings:
            return show(request, job, text, 422)
        added = [one.reading for one in readings]

        def change(document: Document) -> Document:
            measure = document.get("measure", {})
            there = [*measure.get("readings", []), *added]
            return {**document, "measure": {**measure, "readings": there}}

        try:
            saved = desk.save(request, job, sent, change, f"{len(added)} readings from a list")
        except Wrong as trouble:
            return show(request, job, text, 422, problems=trouble.problems)
        return d.after(f"/jobs/{job}/measure?group={group_of(readings)}", saved)


def _show_part(
    desk: Desk, request: Request, job: str, part: str, status: int = 200, **more: Any
) -> Response:
    if part not in PARTS:
        raise NotFound(f"no part {part!r} of the measure")
    view, this = desk.view(request, job), PARTS[part]
    values = more.pop("values", None) or inside(view.document, this.path)
    fields = view.form.fields(
        this.model, values, ".".join(this.path), only=this.only, skip=this.skip
    )
    return d.page(
        request, "stages/measure_part.html", status, view=view, part=part, this=this,
        parts=PARTS, groups=opening.groups(view.job), group="", fields=fields,
        base=more.pop("base", ""), **more,
    )  # fmt: skip


def _part_routes(routes: APIRouter, desk: Desk) -> None:
    """The other parts of the measure, each on a page of its own."""

    @routes.get("/{part}")
    def one_part(request: Request, job: str, part: str) -> Response:
        return _show_part(desk, request, job, part)

    @routes.post("/{part}")
    def save_part(request: Request, job: str, part: str, sent: Sent, files: Files) -> Response:
        if part not in PARTS:
            raise NotFound(f"no part {part!r} of the measure")
        this, view = PARTS[part], desk.view(request, job)
        if "photo" in files:
            sent = sent | {"f.opened_up.photo": _photo(desk, request, job, files["photo"], sent)}
        seen: list[Any] = []

        def change(document: Document) -> Document:
            values = view.form.read(
                this.model, d.within(sent), inside(document, this.path), ".".join(this.path),
                only=this.only, skip=this.skip,
            )  # fmt: skip
            _name_rows(values, inside(view.document, this.path))
            seen.append(values)
            return put(document, this.path, values or ABSENT)  # type: ignore[no-any-return]

        try:
            saved = desk.save(request, job, sent, change, this.title.lower())
        except Wrong as wrong:
            return _show_part(
                desk, request, job, part, 422, problems=wrong.problems, values=seen[0],
                base=sent.get("base", ""),
            )  # fmt: skip
        return d.after(f"/jobs/{job}/measure/{part}", saved)


def _photo(desk: Desk, request: Request, job: str, data: bytes, sent: Mapping[str, str]) -> str:
    try:
        photo = desk.store.add_photo(
            job, data, "the wall, opened up", request.state.who, f"{d.op_of(sent)[:58]}-photo"
        )
    except FileRefused as wrong:
        raise Refused(str(wrong)) from None
    return photo.op


def _name_rows(values: dict[str, Any], standing: Mapping[str, Any]) -> None:
    """Rows that need a short name and have none get one from their kind: switch-2. It is free in
    what stands by now, too: rows of two phones are two things and must not meet in one name."""
    for key, rows in values.items():
        if not isinstance(rows, list):
            continue
        there = standing.get(key, ())
        taken = {row.get("id") for row in (*rows, *there) if isinstance(row, dict)}
        for row in rows:
            if isinstance(row, dict) and "kind" in row and not row.get("id"):
                row["id"] = _free(str(row["kind"]), taken)
                taken.add(row["id"])


def _free(name: str, taken: set[Any]) -> str:
    if name not in taken:
        return name
    return next(f"{name}-{n}" for n in range(2, len(taken) + 3) if f"{name}-{n}" not in taken)


def _own_name(standing: Document, base: Document, sent: Mapping[str, str]) -> str:
    """The short name of the reading that was sent. A new one whose name somebody else gave to
    another reading in the meantime gets one of its own: what two phones read are two readings."""
    name = sent.get("id", "").strip()
    old, now = (
        {reading["id"] for reading in document.get("measure", {}).get("readings", ())}
        for document in (base, standing)
    )
    return _free(name, now) if not sent.get("was") and name in now - old else name


# ---------------------------------------------------------------- one reading


def _entries(view: View, group: str, asked: Mapping[str, str]) -> tuple[ReadingForm, ...]:
    """A form for every reading of the group, and for a new one at every place."""
    kinds = opening.GROUPS[group][1]
    there = [r for r in view.document.get("measure", {}).get("readings", ()) if r["kind"] in kinds]
    wanted: dict[str, tuple[str, str, Mapping[str, Any] | None]] = {
        opening.pad(r["kind"], _place(r), r["id"]): (r["kind"], _place(r), r) for r in there
    }
    for kind in kinds:
        if view.job.wall.has_old or kind in (*opening.STATIONS, "run"):
            for place in KINDS[kind].words:
                wanted[opening.pad(kind, place, "")] = (kind, place, None)
    kind, place = asked.get("kind", ""), asked.get("place", "")
    mine = opening.pad(kind, place, asked.get("was", ""))
    return tuple(
        _entry(view, key, *which, asked if key == mine and "op" in asked else {})
        for key, which in wanted.items()
    )


def _place(reading: Mapping[str, Any]) -> str:
    return str(reading.get("at", reading.get("face", "")))


def _onward(view: View, group: str, form: str, *, skip: bool = False) -> str:
    """The page with the form that comes after one that was saved, or skipped; "" after the last.
    A kind that is read at many stations is asked for again until it is skipped."""
    if not skip and form in {opening.pad(kind, place, "") for kind in opening.STATIONS
                             for place in KINDS[kind].words}:  # fmt: skip
        following = (group, form)
    else:
        following = opening.onward(view.job, view.plan.measured, group, form, back=not skip)
    if not following[0]:
        return ""
    return f"/jobs/{view.id}/measure?group={following[0]}#{following[1]}"


def _after(view: View, sent: Mapping[str, str]) -> str:
    """The page after a reading was saved: it says how that stands, and opens the next form."""
    group, name = sent.get("group", "size"), sent.get("id", "").strip()
    group = group if group in opening.groups(view.job) else next(iter(opening.groups(view.job)))
    saved = next((r for r in view.job.measure.readings if r.id == name), None)
    form = opening.pad("", "", name)
    if saved is not None and saved.kind in opening.STATIONS:
        form = opening.pad(saved.kind, saved.place, "")
    page, _, opened = _onward(view, group, form).partition("#")
    page = page or f"/jobs/{view.id}/measure?group={group}"
    return f"{page}&after={quote(name)}" + (f"#{opened}" if opened else "")


def _entry(
    view: View, key: str, kind: str, place: str, there: Mapping[str, Any] | None,
    asked: Mapping[str, str],
) -> ReadingForm:  # fmt: skip
    model, taken = READINGS[kind], {r.id for r in view.job.measure.readings}
    values: dict[str, Any] = dict(there or {})
    if there is None:
        values["id"] = _free("-".join(filter(None, (kind, place.lower()))), taken)
    known = KINDS[kind]
    needs_length = known.tool is not None and known.tool.needed
    if there is None and needs_length:
        alike = [r for r in view.job.measure.readings if r.kind == kind]
        values["over"] = getattr(alike[-1], "over", None) if alike else None
    shown = tuple(
        _typed(item, asked)
        for item in view.form.fields(
            model, values, "measure.readings", skip=("kind", "value", "again", "at", "face")
        )
    )
    main = ("x", "over") if needs_length else ("x",)
    takes = [there["value"], *there.get("again", ())] if there else []
    style = view.plan.style
    return ReadingForm(
        key, kind, place, str(values["id"]) if there else "", opening.label(kind, place),
        tuple(view.form.text("length", take) for take in takes), asked.get("value", ""),
        tuple(item for item in shown if item.last in main),
        tuple(item for item in shown if item.last not in main),
        known.sign, bool(asked),
        known.most if style == "mm" else None,
        _onward(view, opening.GROUP_OF[kind], key, skip=True),
        "" if takes else opening.begins(view.job, kind, place, style),
        opening.QUICK[style] if known.sign and not takes else (),
        tuple(view.form.text("length", one) for one in opening.LENGTHS[style])
        if needs_length and not values.get("over") else (),
    )  # fmt: skip


def _typed(item: Field, typed: Mapping[str, str]) -> Field:
    return replace(item, value=typed[item.name]) if item.name in typed else item


def _with_reading(view: View, sent: Mapping[str, str]) -> Callable[[Document], Document]:
    """The change that puts the reading of a form into a document."""
    kind, place, name = sent.get("kind", ""), sent.get("place", ""), sent.get("id", "").strip()
    was = sent.get("was", "")
    if kind not in READINGS:
        raise Refused(f"kind: {kind[:20]!r} is no kind of reading; choose a place on the drawing")
    model = READINGS[kind]

    def change(document: Document) -> Document:
        measure = document.get("measure", {})
        there = list(measure.get("readings", []))
        at = next((n for n, r in enumerate(there) if r["id"] == (was or name)), None)
        old = there[at] if at is not None and was else {}
        reading = view.form.read(
            model, {**sent, "id": name}, old, "measure.readings",
            skip=("kind", "value", "again", "at", "face"),
        )  # fmt: skip
        reading = {"id": name, "kind": kind, **reading}
        value = sent.get("value", "").strip()
        if not value and (not old or reading == {"id": name, "kind": kind, **old}):
            raise Wrong((Problem(0, "reading", "", "nothing was entered", "type the reading"),))
        if "at" in model.model_fields:
            reading["at"] = place
        if "face" in model.model_fields:
            reading["face"] = place
        _take(reading, old, value, sent.get("take", "correct"))
        if at is not None and was:
            there[at] = reading
        else:
            there.append(reading)
        return {**document, "measure": {**measure, "readings": there}}

    return change


def _take(reading: dict[str, Any], old: Mapping[str, Any], value: str, take: str) -> None:
    """Put in what was read: beside the earlier takes, or in their place."""
    if old and not value:  # nothing read: only what is said about the reading was changed
        return
    if take == "both" and old:
        reading["value"] = old["value"]
        reading["again"] = [*old.get("again", ()), value]
        return
    reading["value"] = value
    if take == "again" and old:
        reading.pop("again", None)
        before = ", ".join(f"{take:g}" for take in (old["value"], *old.get("again", ())))
        note = f"read {before} at first, taken again"
        reading["note"] = "; ".join(filter(None, (reading.get("note", ""), note)))[:2000]


# ---------------------------------------------------------------- what they say


def _verdict(view: View, measured: Measured, name: str) -> Verdict:
    """How one reading stands among the others, and what they all say together."""
    fit, chance = view.plan.arrangement, view.plan.chance
    if fit is not None and measured is not view.plan.measured:
        height = fit.heights.head_top - fit.heights.frame_bottom
        chance = fit_chance(measured, fit.frame.length, height)
    state, text = _stands(measured, name) if name else ("note", "")
    return Verdict(name, state, view.plan.say(text), measured, chance)


def _stands(measured: Measured, name: str) -> tuple[opening.State, str]:
    """In the words of the finding that speaks of it, where one does."""
    checks = measured.opening.readings if measured.opening else ()
    mine = [c for c in (*checks, *measured.checks, *measured.along) if _base(c.id) == name]
    trouble = measured.trouble_with(name)
    if trouble is not None:
        return "stop", finding_on_page(f"{trouble.what}; {trouble.mend}")
    if not mine:
        return "note", "read"
    check = max(mine, key=lambda each: each.redundancy)
    if opening.is_weak(check):
        weak = measured.weakness_of(check)
        text = f"{weak.what}; {weak.mend}" if weak else "a slip here would hardly show"
        return "warn", finding_on_page(text)
    return "ok", f"agrees with the others, {said(abs(check.misfit), 1)} off"


def _base(id: str) -> str:
    return id.partition("#")[0]


def _first(wrong: ValidationError) -> str:
    """The first thing wrong with what is being typed, with its mend."""
    error = wrong.errors(include_url=False)[0]
    mend = (error.get("ctx") or {}).get("mend", "give a value that fits")
    return f"{error['msg'].lower()}; {mend}"


STAGE = Stage("measure", 10, "Measure", _routes)
