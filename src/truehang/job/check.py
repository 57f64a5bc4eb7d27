"""What is wrong with a job file? Every problem at once, each with line, field, value and mend.

Three passes: the text (yamltree.py), the fields (the models), then what only shows when readings
are held against each other. The third works on whatever can be read, so that one bad field
doesn't hide the rest.
"""

from __future__ import annotations

import difflib
import statistics
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from truehang import catalogue
from truehang.catalogue import Catalogue
from truehang.job.models import USUAL_INSTRUMENTS, Job
from truehang.job.schema import section_at
from truehang.lengths import LengthError, parse_length
from truehang.yamltree import Fault, Path, Tree, read_tree, shown, spoken


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong with a job file.

    `line` counts from 1; `field` is the path ("measure.readings[3].value"); `value` is what
    stands there, shortened; `what` says what is wrong with it and `mend` what to do.
    """

    line: int
    field: str
    value: str
    what: str
    mend: str

    def __str__(self) -> str:
        given = f" {self.value!r}:" if self.value else ""
        return f"line {self.line}: {self.field}:{given} {self.what}; {self.mend}"


class JobError(ValueError):
    """A job file that can't be used. `problems` holds all that is wrong with it."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, problems)))


def examine(given: str | bytes, known: Catalogue | None = None) -> tuple[Job | None, list[Problem]]:
    """The job, if the text holds one, and every problem, by line. Job is None if there are any.
    `known` is the catalogue that it names things of; the shipped one where none is given."""
    tree = read_tree(given)
    problems = [_from_fault(fault) for fault in tree.faults]
    job = None
    if tree.complete and isinstance(tree.root, dict):
        newer = _newer(tree)
        if newer:
            return None, [*problems, newer]
        try:
            job = Job.model_validate(tree.root)
        except ValidationError as error:
            problems += _from_validation(error, tree)
        told = {problem.field for problem in problems}
        problems += [
            problem
            for problem in _across(tree, known or catalogue.load())
            if problem.field not in told
        ]
    ordered = sorted(dict.fromkeys(problems))
    return (None if ordered else job), ordered


def check(given: str | bytes, known: Catalogue | None = None) -> list[Problem]:
    """Every problem of a job file's text, ordered by line; empty when nothing in it is wrong by
    itself."""
    return examine(given, known)[1]


def _from_fault(fault: Fault) -> Problem:
    return Problem(fault.line, spoken(fault.path), fault.given, fault.what, fault.mend)


def _newer(tree: Tree) -> Problem | None:
    version = tree.at("truehang")
    if isinstance(version, int) and not isinstance(version, bool) and version > 1:
        return Problem(
            tree.line(("truehang",)),
            "truehang",
            str(version),
            "the file was written for a newer Truehang; this one reads version 1",
            "install the newer Truehang, or ask for the file in version 1",
        )
    return None


# ---------------------------------------------------------------- field by field


def _from_validation(error: ValidationError, tree: Tree) -> Iterator[Problem]:
    details = error.errors(include_url=False)
    misspelt = {
        (*path[:-1], meant)
        for path in (_real_path(d["loc"], tree.root) for d in details if d["type"] == _UNKNOWN)
        if (meant := _closest(str(path[-1]), _keys(tree, path[:-1])))
    }
    seen: set[Path] = set()
    for detail in details:
        path = _real_path(detail["loc"], tree.root)
        if detail["type"] == "missing":
            path = (*path, detail["loc"][-1])
        if detail["type"] == "too_short" and tree.at(*path):
            continue  # what stands in the list is wrong, and told by itself
        if path in seen or (detail["type"] == "missing" and path in misspelt):
            continue  # another arm of a union, or its misspelt key, says the same thing
        seen.add(path)
        what, mend = _words(detail, path, tree)
        value = "" if detail["type"] == "missing" else shown(tree.at(*path))
        yield Problem(tree.line(path), spoken(path), value, what, mend)


def _real_path(loc: Path, root: Any) -> Path:
    """Pydantic's location without the steps (union tags, "[key]") that are not in the file."""
    path: Path = ()
    tree = Tree(root)
    for step in loc:
        if tree.has((*path, step)):
            path = (*path, step)
    return path


def _words(detail: Any, path: Path, tree: Tree) -> tuple[str, str]:
    kind, context = detail["type"], detail.get("ctx") or {}
    place = section_at(tree.root, path)
    hint = place.get("description")
    mend = f"give {hint}" if hint else "see `truehang schema`"
    if kind == "missing":
        return "missing", f"add `{path[-1]}:` with {hint}" if hint else f"add `{path[-1]}:`"
    if kind == _UNKNOWN and str(path[-1]).isdigit() and tree.at(*path) is None:
        return "a comma parts a number in two here", "write the number with a point: 92.5"
    if kind == _UNKNOWN:
        return "unknown key", _nearest(str(path[-1]), _keys(tree, path[:-1]), "key")
    if kind in ("model_type", "model_attributes_type"):
        keys = ", ".join(_keys(tree, path))
        return "not a mapping", f"write its keys: {keys}" if keys else "write `key: value` lines"
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        kinds = section_at(tree.root, path).get("kinds", [])
        given = context.get("tag")
        if given is None:
            return "`kind` is missing", "add `kind:`, one of " + ", ".join(kinds)
        return f"unknown kind {given!r}", _nearest(given, kinds, "kind")
    if kind == "literal_error":
        choices = place.get("enum") or [place.get("const")]
        return "not one of the choices", _nearest(
            str(detail["input"]), [str(choice) for choice in choices], "choice"
        )
    if "mend" in context:
        return detail["msg"], context["mend"]
    if path == ("job", "revision") and isinstance(detail["input"], str):
        return (
            "revisions are counted here: 1, 2, 3 and so on",
            "write 1 for A, 2 for B; a letter of your own can stand in job.note",
        )
    if kind == "string_type" and isinstance(detail["input"], int | float):
        return "not a text", f'put it in quotes: "{detail["input"]}"'
    if kind == "string_pattern_mismatch":
        return "not a short name", "use lower-case letters, digits, dots and dashes: outlet-1"
    return _PLAIN.get(kind, _lowered(detail["msg"])), mend


_UNKNOWN = "extra_forbidden"
_PLAIN = {
    "bool_parsing": "neither true nor false",
    "bool_type": "neither true nor false",
    "float_parsing": "not a number",
    "float_type": "not a number",
    "finite_number": "not a finite number",
    "int_parsing": "not a whole number",
    "int_type": "not a whole number",
    "int_from_float": "not a whole number",
    "decimal_parsing": "not an amount",
    "decimal_max_places": "more than two places after the point",
    "string_type": "not a text",
    "tuple_type": "not a list",
    "dict_type": "not a mapping",
}


def _lowered(message: str) -> str:
    message = message.replace("Input should", "must", 1).removeprefix("Value error, ")
    message = message.replace("Tuple", "list").replace(" after validation", "")
    return message[:1].lower() + message[1:]


def _keys(tree: Tree, path: Path) -> list[str]:
    return list(section_at(tree.root, path).get("properties", {}))


def _closest(given: str, known: list[str]) -> str | None:
    close = difflib.get_close_matches(given.lower(), known, n=1, cutoff=0.6)
    return close[0] if close else None


def _nearest(given: str, known: list[str], word: str) -> str:
    if close := _closest(given, known):
        return f"did you mean `{close}`?"
    return f"choose a {word} of: {', '.join(known)}" if known else "delete it"


# ---------------------------------------------------------------- held against each other


def _across(tree: Tree, known: Catalogue) -> Iterator[Problem]:
    yield from _repeated_ids(tree)
    yield from _unknown_names(tree, known)
    yield from _swapped(tree)
    yield from _short_diagonals(tree)
    yield from _misplaced(tree)
    yield from _stations(tree)
    yield from _make_up(tree)
    yield from _staying(tree)
    yield from _days_backwards(tree)
    yield from _own_materials(tree, known)
    yield from _floors(tree)


def _problem(tree: Tree, path: Path, what: str, mend: str) -> Problem:
    return Problem(tree.line(path), spoken(path), shown(tree.at(*path)), what, mend)


def _mm(value: Any) -> float | None:
    try:
        return parse_length(value)
    except LengthError:
        return None


def _repeated_ids(tree: Tree) -> Iterator[Problem]:
    for section in (
        ("measure", "readings"),
        ("wall", "services"),
        ("wall", "obstacles"),
        ("wall", "framing", "studs"),
        ("wall", "framing", "nogs"),
        ("wall", "evidence", "loads"),
        ("offcuts",),
        ("materials",),
    ):
        first: dict[str, int] = {}
        for path, entry in tree.items(*section):
            name = entry.get("id")
            if not isinstance(name, str):
                continue
            line = tree.line((*path, "id"))
            if name in first:
                yield _problem(
                    tree,
                    (*path, "id"),
                    f"the id is used twice (first on line {first[name]})",
                    "give each its own id; take a reading again under `again:`",
                )
            first.setdefault(name, line)


def _unknown_names(tree: Tree, bought: Catalogue) -> Iterator[Problem]:
    own = tree.at("measure", "instruments")
    instruments = [*USUAL_INSTRUMENTS, *(own if isinstance(own, dict) else ())]
    named = [(*path, "instrument") for path, _ in tree.items("measure", "readings")]
    for where in (*named, ("floor", "instrument")):
        name = tree.at(*where)
        if isinstance(name, str) and name not in instruments:
            yield _problem(
                tree,
                where,
                "no such instrument",
                _nearest(name, instruments, "name")
                + " or add it under measure.instruments with its sigma",
            )
    for what, places, known in _catalogue_names(tree, bought):
        for where in places:
            name = tree.at(*where)
            if isinstance(name, str) and name not in known:
                yield _problem(
                    tree, where, f"no such {what} in the catalogue", _nearest(name, known, what)
                )


def _catalogue_names(tree: Tree, bought: Catalogue) -> Iterator[tuple[str, list[Path], list[str]]]:
    """What is named, where, and the names there are. A kit or leaf may be the user's own."""
    yield "region", [("job", "region")], [region.id for region in bought.regions]
    layers = (("wall", "make_up"), ("wishes", "lining"))
    yield (
        "material",
        [
            *(
                (*path, "material")
                for section in layers
                for face in ("face_a", "face_b")
                for path, _ in tree.items(*section, face)
            ),
            ("wall", "make_up", "studs", "material"),
            ("wall", "make_up", "fill", "material"),
        ],
        [
            *(material.key for material in bought.materials),
            *(str(own["id"]) for _, own in tree.items("materials") if "id" in own),
        ],
    )
    for what, kind, where in (
        ("noise", "source", ("sound", "noise")),
        ("background noise", "background", ("sound", "receiving", "background")),
    ):
        yield what, [where], [noise.key for noise in bought.noises if noise.kind == kind]
    rules = [rule.id for rule in bought.access_rules]
    yield "rule set", [("wishes", "accessible")], ["none", "region", *rules]


def _of_kind(tree: Tree, kind: str) -> list[tuple[Path, dict[str, Any], float]]:
    found = []
    for path, reading in tree.items("measure", "readings"):
        value = _mm(reading.get("value")) if reading.get("kind") == kind else None
        if value is not None and 300 <= value <= 12000:
            found.append(((*path, "value"), reading, value))
    return found


def _swapped(tree: Tree) -> Iterator[Problem]:
    """A width that agrees with the heights and with no other width, or the other way about."""
    for kind, other in (("width", "height"), ("height", "width")):
        own, others = _of_kind(tree, kind), _of_kind(tree, other)
        if len(own) < 2 or len(others) < 2:
            continue
        middle = statistics.median(value for _, _, value in others)
        for path, reading, value in own:
            rest = [v for p, _, v in own if p != path]
            far = min(abs(value - v) for v in rest) > 0.1 * value
            if far and abs(value - middle) < 0.05 * middle:
                yield _problem(
                    tree,
                    path,
                    f"this {kind} looks like a {other} (the other {kind}s are about "
                    f"{statistics.median(rest):g})",
                    f"was reading `{shown(reading.get('id'))}` swapped with a {other}? swap them, "
                    "or take it again",
                )


def _short_diagonals(tree: Tree) -> Iterator[Problem]:
    sides = _of_kind(tree, "width") + _of_kind(tree, "height")
    for path, _, value in _of_kind(tree, "diagonal"):
        longer = [(v, r.get("id")) for _, r, v in sides if v >= value]
        if longer:
            side, name = max(longer, key=lambda pair: pair[0])
            yield _problem(
                tree,
                path,
                f"a diagonal can't be shorter than a side (`{shown(name)}` is {side:g})",
                "take the diagonal again, corner to corner",
            )


def _misplaced(tree: Tree) -> Iterator[Problem]:
    run = _mm(tree.at("wall", "run"))
    if run is None or not 500 <= run <= 30000:
        return  # told already, field by field
    places = [
        *((*path, "x") for path, _ in tree.items("wall", "services")),
        *((*path, "x") for path, _ in tree.items("measure", "readings")),
        *((*path, "x") for path, _ in tree.items("floor", "stations")),
        *((*path, "x") for path, _ in tree.items("wall", "over", "underside")),
        *((*path, key) for path, _ in tree.items("wall", "obstacles") for key in ("from_x",)),
        *((*path, "x") for path, _ in tree.items("wall", "framing", "studs")),
        *(
            (*path, key)
            for path, _ in tree.items("wall", "framing", "nogs")
            for key in ("from_x", "to_x")
        ),
        ("wishes", "place", "from_x"),
        ("wishes", "place", "to_x"),
    ]
    for path in places:
        x = _mm(tree.at(*path)) if tree.at(*path) is not None else None
        if x is not None and not -1.0 <= x <= run + 1.0:
            yield _problem(
                tree,
                path,
                f"lies outside the wall run (0 to {run:g} from the datum)",
                "measure it again from the datum, or lengthen wall.run",
            )
    for path, _ in tree.items("wall", "obstacles"):
        yield from _backwards(tree, path, "from_x", "to_x")
        yield from _backwards(tree, path, "from_z", "to_z")
    for path, _ in tree.items("wall", "framing", "studs"):
        yield from _backwards(tree, path, "from_z", "to_z")
    for path, _ in tree.items("wall", "framing", "nogs"):
        yield from _backwards(tree, path, "from_x", "to_x")
    yield from _backwards(tree, ("wishes", "place"), "from_x", "to_x")
    drag = tree.at("wishes", "seals", "drag")
    low, high = (drag.get("low"), drag.get("high")) if isinstance(drag, dict) else (None, None)
    if isinstance(low, int | float) and isinstance(high, int | float) and low > high:
        yield _problem(
            tree,
            ("wishes", "seals", "drag", "low"),
            f"more than high ({high:g})",
            "swap low and high",
        )


def _backwards(tree: Tree, path: Path, low: str, high: str) -> Iterator[Problem]:
    first, last = _mm(tree.at(*path, low)), _mm(tree.at(*path, high))
    if first is not None and last is not None and first >= last:
        yield _problem(
            tree, (*path, low), f"not less than {high} ({last:g})", f"swap {low} and {high}"
        )


def _days_backwards(tree: Tree) -> Iterator[Problem]:
    """Days away that end before they begin, and hours that do."""
    for path, given in tree.items("programme", "away"):
        begin, end = given.get("begin"), given.get("end")
        if isinstance(begin, str) and isinstance(end, str) and end < begin:
            yield _problem(
                tree, (*path, "end"), f"before it begins, on {begin}", "write the later day as end"
            )
    wish = tree.at("programme")
    for key in ("hours", "noise"):
        stretches = wish.get(key) if isinstance(wish, dict) else None
        for number, text in enumerate(stretches if isinstance(stretches, list) else ()):
            begin, _, end = str(text).partition("-")
            if len(begin) == len(end) == 5 and end <= begin:
                yield _problem(
                    tree, ("programme", key, number), "ends before it begins",
                    "write the earlier hour first: 07:00-12:00",
                )  # fmt: skip


def _stations(tree: Tree) -> Iterator[Problem]:
    for section in (("floor", "stations"), ("wall", "over", "underside")):
        yield from _stations_of(tree, section)


def _stations_of(tree: Tree, section: tuple[str, ...]) -> Iterator[Problem]:
    seen: dict[float, int] = {}
    last: float | None = None
    for path, station in tree.items(*section):
        x = _mm(station.get("x"))
        if x is None:
            continue
        if x in seen:
            yield _problem(
                tree,
                (*path, "x"),
                f"a station at this x is on line {seen[x]} already",
                "give each station its own x; write a second reading there as `again: [..]`",
            )
        elif last is not None and x < last:
            yield _problem(
                tree,
                (*path, "x"),
                f"left of the station before it ({last:g}), and stations run from left to right",
                "read its x again from the datum, or put the stations in order",
            )
        seen.setdefault(x, tree.line((*path, "x")))
        last = x


def _floors(tree: Tree) -> Iterator[Problem]:
    """A finished floor has nothing more to come."""
    for where in (("floor",), ("floor", "side_b")):
        more = _mm(tree.at(*where, "to_come")) if tree.has((*where, "to_come")) else None
        if tree.at(*where, "state") == "finished" and more:
            yield _problem(
                tree,
                (*where, "state"),
                f"the floor is finished, and {more:g} is still to come on it",
                "write state: bare, or leave to_come out",
            )


def _own_materials(tree: Tree, known: Catalogue) -> Iterator[Problem]:
    """A material of one's own has a name of its own, and is as thick where it is used as it was
    weighed."""
    there = {material.key for material in known.materials}
    thick: dict[str, float | None] = {}
    for path, own in tree.items("materials"):
        name = own.get("id")
        if not isinstance(name, str):
            continue
        if name in there:
            yield _problem(
                tree,
                (*path, "id"),
                "the catalogue has a material of this name already",
                "give it a name of its own, or use the catalogue's",
            )
        thick[name] = _mm(own.get("thickness"))
    for section in (("wall", "make_up"), ("wishes", "lining")):
        for face in ("face_a", "face_b"):
            for path, layer in tree.items(*section, face):
                used = layer.get("material")
                weighed = thick.get(used) if isinstance(used, str) else None
                here = _mm(layer.get("thickness"))
                if weighed is not None and here is not None and abs(weighed - here) > 0.05:
                    yield _problem(
                        tree,
                        (*path, "thickness"),
                        f"this material of your own was weighed {weighed:g} thick",
                        f"write {weighed:g}, or give this thickness a material of its own",
                    )


def _staying(tree: Tree) -> Iterator[Problem]:
    """A pocket is built from one face at least, and a face that stays is not lined."""
    stays, situation = tree.at("wall", "stays"), tree.at("wall", "situation")
    if stays == "both":
        yield _problem(
            tree,
            ("wall", "stays"),
            "a pocket can't be built where both faces stay: it goes in from one of them",
            "name the face that stays, A or B, and agree that the other is opened and lined anew; "
            "else the door slides along the face of the wall, and nothing here plans that",
        )
    if stays in ("A", "B", "both") and situation == "new-wall":
        yield _problem(
            tree,
            ("wall", "stays"),
            "a new wall has no face yet that could stay",
            "leave wall.stays out, or give the situation that is there",
        )
    for face in ("A", "B"):
        where = ("wishes", "lining", f"face_{face.lower()}")
        cut = situation in ("new-opening", "beside-opening")
        if cut and stays in (face, "both") and tree.at(*where):
            yield _problem(
                tree,
                where,
                f"face {face} is to be lined, and wall.stays says that it is not touched",
                f"leave wishes.lining.face_{face.lower()} out, or set wall.stays to none",
            )


def _make_up(tree: Tree) -> Iterator[Problem]:
    """The layers and studs must add up to the wall that was measured, where it was."""
    layers = [
        _mm(layer.get("thickness"))
        for face in ("face_a", "face_b")
        for _, layer in tree.items("wall", "make_up", face)
    ]
    parts = [*layers, _mm(tree.at("wall", "make_up", "studs", "depth"))]
    measured = [
        value
        for _, reading in tree.items("measure", "readings")
        if reading.get("kind") == "thickness" and (value := _mm(reading.get("value"))) is not None
    ]
    total = sum(part for part in parts if part is not None)
    if None in parts or not measured or total == 0:
        return
    middle = statistics.median(measured)
    if abs(middle - total) > 15:
        yield _problem(
            tree,
            ("wall", "make_up"),
            f"layers and studs add up to {total:g}, but the wall measures {middle:g}",
            "look at a cut edge again: a layer may be missing, or a thickness wrong",
        )
