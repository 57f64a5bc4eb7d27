"""A face that is not touched: the pocket is built from the other side, and what can't be is told.

The window rule (what passes a rib and a lining and does not show) is common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest
from tests.swaps import planned, values

from truehang import catalogue, demo
from truehang.findings import Finding, Severity
from truehang.job import Job, check, dump, load
from truehang.plan import Plan, plan

TILED = [
    {"material": "ceramic-tile", "thickness": 8.0},
    {"material": "plasterboard", "thickness": 10.0},
]


def swap(stays: str | None = "B", face_b: list[dict[str, Any]] | None = None) -> dict[str, Any]:
    job = values()
    job["wall"]["stays"] = stays
    if face_b is not None:
        job["wall"]["make_up"]["face_b"] = face_b
        job["wishes"]["lining"] = {}
    return job


@pytest.fixture(scope="module")
def tiled() -> Plan:
    return planned(swap(face_b=TILED))


@pytest.fixture(scope="module")
def both_open() -> Plan:
    return planned(swap("none"))


def at(made: Plan, where: str, severity: Severity) -> list[Finding]:
    return [f for f in made.findings if f.where == where and f.severity is severity]


def faces(made: Plan) -> set[str]:
    return {one.face.side for laid in made.lining for one in laid.faces}


def rows(made: Plan, face: str) -> set[str]:
    assert made.fixings is not None
    keys = {c.row.key for c in made.fixings.choices}
    return {key for key in keys if f"-{face}-" in f"{key}-"}


def test_no_board_screw_nail_or_skirting_is_counted_on_a_tiled_face(
    tiled: Plan, both_open: Plan
) -> None:
    assert "B" not in faces(tiled)
    assert "A" in faces(tiled)
    assert "B" in faces(both_open)
    assert rows(tiled, "b") == set()
    assert rows(both_open, "b")
    assert tiled.takeoff is not None
    lined = {item.key: item for item in tiled.takeoff.items}
    assert "lining-b" not in lined
    skirting = [item for item in tiled.takeoff.items if item.key.startswith("skirting")]
    assert skirting
    assert all(item.count == 1 and "face A" in (item.where or "") for item in skirting)


def test_ribs_are_bonded_and_the_window_says_why(tiled: Plan) -> None:
    assert tiled.arrangement is not None
    rib = tiled.arrangement.pockets[0].rib_thickness
    # by the window rule: rib + 8 of tile + 10 of board, less the 1 that keeps a tip from showing
    assert tiled.figures["fixings.rib-bond-b.longest"].value == rib + 8 + 10 - 1
    assert str(tiled.figures["fixings.rib-bond-b.use"].value).startswith("adhesive only")
    assert str(tiled.figures["fixings.trim-b.use"].value).startswith("adhesive only")


@pytest.mark.parametrize(("side", "tile", "board"), [("A", 6.0, 13.0), ("B", 12.0, 10.0)])
def test_nothing_on_a_face_that_stays_passes_the_window(
    side: str, tile: float, board: float
) -> None:
    """By the window rule: a fixing of that face at the pocket is as long as what it passes, less 1,
    at most; with none that also holds, it is bonded. Whatever is chosen keeps to it."""
    job = swap(side)
    job["wall"]["make_up"][f"face_{side.lower()}"] = [
        {"material": "ceramic-tile", "thickness": tile},
        {"material": "plasterboard", "thickness": board},
    ]
    job["wishes"]["lining"] = {}
    made = planned(job)
    assert made.fixings is not None
    assert made.arrangement is not None
    rib = made.arrangement.pockets[0].rib_thickness
    key = f"fixings.rib-bond-{side.lower()}.longest"
    assert made.figures[key].value == rib + tile + board - 1
    for choice in made.fixings.choices:
        if choice.row.cavity and choice.fastener is not None and choice.longest is not None:
            assert choice.fastener.length <= choice.longest, choice.row.key


def test_the_steps_open_the_other_face_and_leave_this_one(tiled: Plan) -> None:
    told = {step.key: " ".join(map(str, step.do)) for step in tiled.steps}
    assert "cut face A as far" in told["open-one"]
    assert "cut every nail and screw that holds it, from face A" in told["studs-out"]
    assert "cut the lining of face B to the same lines" not in told["studs-out"]
    assert "Bond the ribs of face B" in told["fix-frame"]
    mirrored = planned(swap("A"))
    told = {step.key: " ".join(map(str, step.do)) for step in mirrored.steps}
    assert "cut face B as far" in told["open-one"]
    assert "B" in faces(mirrored)
    assert "A" not in faces(mirrored)


def test_what_cannot_be_done_from_one_side_is_told(tiled: Plan) -> None:
    (hold,) = at(tiled, "wall.stays", Severity.HOLD)
    assert "ceramic tiles" in hold.what
    job = swap(face_b=TILED)
    job["wall"]["services"] = [
        {"id": "outlet-b", "kind": "outlet", "x": 1700.0, "z": 300.0, "face": "B", "runs": "up"}
    ]
    holds = at(planned(job), "wall.stays", Severity.HOLD)
    assert any("outlet-b" in one.what for one in holds)
    job["wall"]["services"][0]["face"] = "A"
    holds = at(planned(job), "wall.stays", Severity.HOLD)
    assert not any("outlet-b" in one.what for one in holds)
    lath = planned(swap(face_b=[{"material": "lath-plaster", "thickness": 22.0}]))
    assert any("plaster keys" in one.what for one in at(lath, "wall.stays", Severity.WARN))


def test_a_tiled_face_that_nobody_spoke_of_is_asked_about_and_no_answer_is_put_in() -> None:
    made = planned(swap(None, TILED))
    (warn,) = at(made, "wall.stays", Severity.WARN)
    assert "set wall.stays to B to build from face A, or to none" in warn.mend
    assert warn.changes == ()  # it is the customer's to say, and either answer has its price
    assert at(planned(swap("B", TILED)), "wall.stays", Severity.NOTE)
    assert at(planned(swap(None)), "wall.stays", Severity.WARN) == []


def said(job: dict[str, Any]) -> list[tuple[str, str]]:
    job["job"]["issued"] = str(job["job"]["issued"])
    stays = job["wall"].pop("stays")
    text = dump(Job.model_validate(job))
    text = text.replace("wall:\n", f"wall:\n  stays: {stays}\n", 1)
    return [(problem.field, f"{problem.what} {problem.mend}") for problem in check(text)]


def test_both_faces_a_new_wall_and_a_lining_on_a_face_that_stays_are_refused() -> None:
    assert any(
        field == "wall.stays" and "both faces stay" in what and "A or B" in what
        for field, what in said(swap("both"))
    )
    new = swap("B")
    new["wall"]["situation"] = "new-wall"
    assert any("no face yet" in what for _, what in said(new))
    lined = swap("B")
    lined["wishes"]["lining"] = {"face_b": [{"material": "plasterboard", "thickness": 10.0}]}
    assert any(field == "wishes.lining.face_b" for field, _ in said(lined))
    assert said(swap("A")) == []


@pytest.mark.parametrize(("face", "other"), [("A", "B"), ("B", "A")])
def test_in_an_old_opening_the_face_that_stays_is_neither_opened_nor_stripped(
    face: str, other: str
) -> None:
    """Seen red: granary-hall's lath and plaster stays, and its steps opened it over the beam."""
    text = demo.files("granary-hall")[0][1]
    assert text.count("  stays: A\n") == 1
    made = plan(load(text.replace("  stays: A\n", f"  stays: {face}\n")), catalogue.load())
    told = {step.key: " ".join(map(str, step.do)) for step in made.steps}
    assert f"open face {other} over the head" in told["open-one"]
    assert f"leave face {face} whole" in told["open-one"]
    assert f"on face {other}" in told["strip-trim"]
    assert "both sides" not in told["strip-trim"]
    (note,) = at(made, "wall.stays", Severity.NOTE)
    assert f"opened from face {other}" in note.what
    # the pockets stand where there is no lining: both faces are lined inside the old opening
    assert faces(made) == {"A", "B"}


def test_in_an_old_opening_either_face_may_be_opened_where_nobody_spoke_of_one() -> None:
    text = demo.files("granary-hall")[0][1].replace("  stays: A\n", "")
    told = {s.key: " ".join(map(str, s.do)) for s in plan(load(text), catalogue.load()).steps}
    assert "open face A over the head" in told["open-one"]
    assert "leave face B whole" in told["open-one"]
    assert "both sides" in told["strip-trim"]
