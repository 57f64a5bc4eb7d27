"""Whatever is wrong with a job file is told with line, field, value and mend; all of it at once."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from truehang import demo, job
from truehang.job import Problem

STARTER = job.starter()
FERNHOLLOW = demo.files("fernhollow")[0][1]


def _with(old: str, new: str, text: str = STARTER) -> str:
    assert text.count(old) == 1, old
    return text.replace(old, new)


def _only(text: str | bytes) -> Problem:
    problems = job.check(text)
    assert len(problems) == 1, problems
    return problems[0]


def _line_of(text: str, snippet: str) -> int:
    return text[: text.index(snippet)].count("\n") + 1


# (what stands in the starter, what is written instead, field, what, mend)
FIELDS = [
    ("run: 5200", "run: 5.2", "wall.run", "looks like metres", "did you mean 5200 mm"),
    ("ceiling: 2700", "ceiling: 270", "wall.ceiling", "centimetres", "did you mean 2700 mm"),
    ("ceiling: 2700", "ceiling: 106.5", "wall.ceiling", "looks like", "did you mean 2705.1 mm"),
    ("run: 5200", "run: -5200", "wall.run", "outside 500 to 30000 mm", "measure it again"),
    ("run: 5200", "run: 1e9", "wall.run", "outside", "measure it again"),
    ("run: 5200", "run: .nan", "wall.run", "not a length", "write millimetres"),
    ("run: 5200", "run: -.inf", "wall.run", "not a length", "write millimetres"),
    ("run: 5200", "run: true", "wall.run", "not a length", "write millimetres"),
    ("run: 5200", "run:", "wall.run", "not a length", "write millimetres"),
    ("run: 5200", "run: [5200]", "wall.run", "not a length", "write millimetres"),
    ("run: 5200", "run: 5200 km", "wall.run", "not a length", "2.87 m"),
    ("run: 5200", "run: 5,200", "wall.run", "not a length", "without the comma"),
    ("run: 5200", "run: 5200,5", "wall.run", "a comma in a number", "5200.5"),
    ("run: 5200", "run: 5,2 m", "wall.run", "a comma in a number", "5.2 m"),
    ("value: 1, over: 2000}     # + top", "value: 1, over: 200}     # + top",
     "measure.readings[8].over", "looks like centimetres", "did you mean 2000"),
    ("x: 900, value: 110}", "x: 900, value: 110,5}", "measure.readings[16].5", "a comma parts",
     "a point"),
    ("{x: 1800, z: -2}", "{x: 1800, z: -2,5}", "floor.stations[2].5", "a comma parts", "a point"),
    ("{x: 1800, z: -2}", "{x: 180, z: -2}", "floor.stations[2].x", "left of the station before",
     "from the datum"),
    ("  handle: ", "  handle_height: 105\n  handle: ", "wishes.handle_height",
     "looks like centimetres", "did you mean 1050"),
    ("run: 5200", "run: 17' 13\"", "wall.run", "a foot or more of inches", "under 12 inches"),
    ("run: 5200", "run: 17' 5 11/8\"", "wall.run", "a fraction of an inch or more", "11 3/8"),
    ("run: 5200", "rum: 5200", "wall.rum", "unknown key", "did you mean `run`?"),
    ("region: au", "region: zz", "job.region", "no such region", "au, nz, uk, us"),
    ("revision: 1", "revision: 0", "job.revision", "greater than or equal to 1", "counts up"),
    ("revision: 1", "revision: 1.5", "job.revision", "whole number", "counts up"),
    ("revision: 1", "revision: A", "job.revision", "revisions are counted here", "write 1 for A"),
    ("revision: 1", "revision: true", "job.revision", "not a number", "write a number"),
    ("name: my-job", "name: My Job", "job.name", "not a short name", "lower-case"),
    ("name: my-job", "name: 12", "job.name", "not a text", 'put it in quotes: "12"'),
    ('"2026-01-05"', "20260105", "job.issued", "not a day", "2026-03-02"),
    ('"2026-01-05"', '"2026-02-30"', "job.issued", "not a day", "2026-03-02"),
    ('"2026-01-05"', '"5/1/2026"', "job.issued", "not a day", "2026-03-02"),
    ("print: mm ", "print: inches ", "job.print", "not one of", "feet-inches"),
    ("joists: along", "joists: alnog", "wall.evidence.joists", "not one of", "`along`?"),
    ("joint_over: false", "joint_over: maybe", "wall.evidence.joint_over", "neither true", "give"),
    ("built: 1995", "built: 95", "wall.built", "greater than or equal to 1500", "1986"),
    ("x: 310,", "x: 3.1,", "wall.services[0].x", "looks like metres", "did you mean 3100 mm"),
    ("x: 310,", "x: 31000,", "wall.services[0].x", "outside", "measure it again"),
    ("x: 310,", "x: 5300,", "wall.services[0].x", "outside the wall run", "from the datum"),
    ("kind: outlet,", "kind: oulet,", "wall.services[0].kind", "not one of", "`outlet`?"),
    (
        "depth: 90, spacing",
        "depth: 90, spacign",
        "wall.make_up.studs.spacign",
        "unknown key",
        "`spacing`?",
    ),
    ("material: pine, width", "material: pime, width", "wall.make_up.studs.material", "no such",
     "`pine`?"),
    ("at: rising", "at: up", "measure.readings[6].at", "not one of", "rising"),
    ("value: 3202}", "value: 2402}", "measure.readings[0].value", "looks like a height",
     "`width-bottom` swapped"),
    ("value: 2402}", "value: 3200}", "measure.readings[4].value", "looks like a width",
     "`height-middle` swapped"),
    ("value: 4002}", "value: 3102}", "measure.readings[6].value", "shorter than a side",
     "corner to corner"),
    ("value: 3202}", "value: 3.202}", "measure.readings[0].value", "metres", "did you mean 3202"),
    ("value: 3202}", "value: 126}", "measure.readings[0].value", "not plausible", "did you mean"),
    ("id: width-top, kind", "id: width-bottom, kind", "measure.readings[2].id", "used twice",
     "again:"),
    ("id: mark-left, kind: mark", "id: mark-left, kind: marc", "measure.readings[14]",
     "unknown kind 'marc'", "`mark`?"),
    ("id: mark-left, kind: mark, ", "id: mark-left, ", "measure.readings[14]",
     "`kind` is missing", "width"),
    ("value: 998}", "value: 998, instrument: taep}", "measure.readings[15].instrument",
     "no such instrument", "`tape`?"),
    ("value: 998}", "value: 998, sigma: 0}", "measure.readings[15].sigma", "outside 0.05",
     "measure it again"),
    ("{id: thickness-1, kind: thickness, x: 900, value: 110}",
     "{id: thickness-1, kind: thickness, value: 110}", "measure.readings[16].x", "missing",
     "add `x:`"),
    ("{x: 1800, z: -2}", "{x: 1000, z: -2}", "floor.stations[2].x", "already", "its own x"),
    ("{x: 1800, z: -2}", "{x: 1800, z: -1200}", "floor.stations[2].z", "outside -200 to 200",
     "measure it again"),
    ("{x: 1800, z: -2}", "1800", "floor.stations[2]", "not a mapping", "x, z"),
    ("to_come: 0 ", "to_come: -5 ", "floor.to_come", "below zero", "positive"),
    ("packers: [1, 1.5", "packers: [0, 1.5", "packers[0]", "outside 0.1 to 300", "measure"),
    ("crew: 1", "crew: none", "site.crew", "not a whole number", "people"),
    ("lift: 25 ", "lift: .inf ", "site.lift", "finite", "kg"),
    ("accessible: none ", "accessible: us-2012 ", "wishes.accessible", "no such rule set",
     "`us-2010`?"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "field", "what", "mend"), FIELDS)
def test_one_wrong_field_is_told_once_with_its_line_and_mend(
    old: str, new: str, field: str, what: str, mend: str
) -> None:
    problem = _only(_with(old, new))
    assert problem.field == field
    assert what in problem.what
    assert mend in problem.mend
    assert problem.line == _line_of(STARTER, old)
    if "missing" not in problem.what:
        assert problem.value


def test_a_missing_section_is_told_where_it_should_stand() -> None:
    start, end = STARTER.index("\nwall:"), STARTER.index("\nmeasure:")
    problem = _only(STARTER[:start] + STARTER[end:])
    assert (problem.field, problem.what) == ("wall", "missing")
    assert "add `wall:`" in problem.mend


def test_every_problem_is_told_at_once_in_the_order_of_the_lines() -> None:
    text = _with("run: 5200", "run: 5.2")
    text = _with("joists: along", "joists: abreast", text)
    text = _with("id: width-top, kind", "id: width-bottom, kind", text)
    text = _with("value: 4002}", "value: 3102}", text)
    text = _with("crew: 1", "crew: -1", text)
    problems = job.check(text)
    assert [problem.field for problem in problems] == [
        "wall.run",
        "wall.evidence.joists",
        "measure.readings[2].id",
        "measure.readings[6].value",
        "site.crew",
    ]
    lines = [problem.line for problem in problems]
    assert lines == sorted(lines)
    with pytest.raises(job.JobError) as caught:
        job.load(text)
    assert list(caught.value.problems) == problems
    assert str(caught.value).count("\n") == 4


def test_the_message_names_line_field_value_and_mend() -> None:
    text = _with("run: 5200", "run: 5.2")
    assert re.fullmatch(
        r"line \d+: wall\.run: '5\.2': not plausible as millimetres; it looks like metres; "
        r"did you mean 5200 mm\? write 5200, or write the unit after it",
        str(_only(text)),
    )


def test_a_wall_that_does_not_add_up_is_asked_about() -> None:
    problem = _only(_with("depth: 90, spacing", "depth: 140, spacing"))
    assert problem.field == "wall.make_up"
    assert "add up to 160, but the wall measures 110" in problem.what


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "empty"),
        ("# only a note\n", "empty"),
        ("- truehang: 1\n", "not a mapping"),
        ("just words", "not a mapping"),
        ("truehang: 2\n", "newer Truehang"),
        ("truehang: 1\njob: &a {name: x}\nwall: *a\n", "anchor"),
        ("truehang: 1\nwall: *a\n", "alias"),
        ("truehang: 1\njob: !!python/object/apply:os.getcwd []\n", "tag"),
        ("truehang: 1\njob: !secret x\n", "tag"),
        ("truehang: 1\n---\ntruehang: 1\n", "second document"),
        ("truehang: 1\n? [a]\n: b\n", "where a key should"),
        ("truehang: 1\njob: [1, 2\n", "not YAML"),
        ("truehang: 1\njob: a: b\n", "not YAML"),
        ("truehang: 1\n\tjob: x\n", "a tab stands here"),
        ("truehang: 1\njob: 'x\n", "not YAML"),
        ("truehang: 1\njob: \x07\n", "can't hold"),
        ("[" * 5000, "nest"),
        ("{a: " * 17, "nested more than 16 deep"),
        ("a:\n" + "- 1\n" * 60_000, "more than 50,000 values"),
        (b"truehang: 1\n\xff\xfe", "not UTF-8"),
        ("truehang: 1\x00", "can't hold"),
        ("x" * 10_485_760, "larger than one may be"),
    ],
)
def test_text_that_is_no_job_file_is_refused_with_one_reason(text: str | bytes, what: str) -> None:
    problem = _only(text)
    assert what in problem.what
    assert problem.mend


def test_ten_megabytes_are_refused_before_anything_is_parsed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("parsed")

    monkeypatch.setattr("yaml.parse", never)
    assert "10,485,760 bytes" in _only("x" * 10_485_760).value
    big = tmp_path / "big.yaml"
    big.write_bytes(b"x" * 10_485_760)
    with pytest.raises(job.JobError, match="larger than one may be"):
        job.load(big)


def test_an_alias_bomb_is_refused_at_its_first_anchor() -> None:
    bomb = "a: &a [x, x]\n" + "".join(
        f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]\n"
        for before, name in zip("abcdefgh", "bcdefghi", strict=True)
    )
    problem = _only(bomb)
    assert (problem.line, problem.value) == (1, "&a")


def test_a_key_given_twice_names_both_lines() -> None:
    text = _with("  built: 1995", "  run: 5300\n  built: 1995")
    problem = _only(text)
    assert problem.what == f"`run` is given twice (first on line {_line_of(STARTER, 'run: 5200')})"


def test_a_missing_file_is_a_clear_problem(tmp_path: Any) -> None:
    with pytest.raises(job.JobError, match=r"nowhere\.yaml.*no such file"):
        job.load(tmp_path / "nowhere.yaml")
    with pytest.raises(job.JobError, match="look at the name"):
        job.load(tmp_path)


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    items = (
        value.items() if isinstance(value, dict) else enumerate(value)
        if isinstance(value, list) else ()
    )  # fmt: skip
    return [path, *(place for key, item in items for place in _places(item, (*path, key)))]


DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
RAW = yaml.safe_load(FERNHOLLOW)
PLACES = [place for place in _places(RAW) if place]
ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=12),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.sampled_from(["id", "kind", "x", "zz"]), st.integers(), max_size=2),
)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.tuples(st.sampled_from(PLACES), ODD), min_size=1, max_size=4))
def test_no_value_anywhere_brings_a_traceback(changes: list[tuple[tuple[Any, ...], Any]]) -> None:
    raw = copy.deepcopy(RAW)
    for place, odd in changes:
        holder = raw
        try:
            for step in place[:-1]:
                holder = holder[step]
            holder[place[-1]] = odd
        except (TypeError, KeyError, IndexError):
            continue  # an earlier change took this place away
    loaded, problems = job.examine(yaml.dump(raw, Dumper=DUMPER, allow_unicode=True))
    assert (loaded is None) == bool(problems)
    for problem in problems:
        assert problem.line >= 1
        assert problem.field
        assert problem.what
        assert problem.mend


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200))
def test_no_text_brings_a_traceback(text: str) -> None:
    assert job.check(text)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(FERNHOLLOW) - 1), st.binary(min_size=1, max_size=3))
def test_a_damaged_file_brings_no_traceback(at: int, bytes_in: bytes) -> None:
    content = FERNHOLLOW.encode()
    job.check(content[:at] + bytes_in + content[at + len(bytes_in) :])


@pytest.mark.parametrize(
    ("old", "new", "field", "what"),
    [
        ("noise: dogs-barking", "noise: quiet-room", "sound.noise", "noise"),
        (
            "background: quiet-room",
            "background: dogs-barking",
            "sound.receiving.background",
            "background noise",
        ),
    ],
)
def test_what_is_heard_and_what_is_always_there_are_not_confused(
    old: str, new: str, field: str, what: str
) -> None:
    problem = _only(_with(old, new, FERNHOLLOW))
    assert problem.field == field
    assert problem.what == f"no such {what} in the catalogue"


@pytest.mark.parametrize(
    "layer", ["{material: 12, thickness: 10}", "{material: Soft Board, thickness: 10}",
              "{thickness: 10}", "{material: plasterboard, thickness: 10,5}"],
)  # fmt: skip
def test_a_bad_layer_is_one_fault_and_not_a_short_list_too(layer: str) -> None:
    text = STARTER.replace("{material: plasterboard, thickness: 10}", layer, 1)
    assert text != STARTER
    assert "face_a[0]" in _only(text).field


def test_an_empty_face_is_still_told() -> None:
    text = STARTER.replace(
        "    face_a:\n      - {material: plasterboard, thickness: 10}", "    face_a: []"
    )
    assert text != STARTER
    assert _only(text).field == "wall.make_up.face_a"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("  run: 5200", "\trun: 5200"),
        ("    - {x: 0, z: 0}", "\t- {x: 0, z: 0}"),
        ("    - {x: 0, z: 0}", "    \t- {x: 0, z: 0}"),
    ],
)
def test_a_tab_is_called_a_tab(old: str, new: str) -> None:
    text = _with(old, new)
    problem = _only(text)
    assert "a tab stands here" in problem.what
    assert "spaces" in problem.mend
    assert problem.line == _line_of(text, new.strip("\t "))
