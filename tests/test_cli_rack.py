"""The offcut rack at a prompt: nothing is counted twice, and each refusal says what to do."""

from __future__ import annotations

import contextlib
import json
import re
import threading
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from truehang import catalogue, demo, rackfile
from truehang.cli import app
from truehang.cutting import Rack, RackConflict, RackError
from truehang.plan import cuts

MISREAD = dict(demo.files("fernhollow"))["fernhollow.yaml"]
FERNHOLLOW = MISREAD.replace("at: bottom, value: 3450", "at: bottom, value: 3460")


def run(*arguments: str, cwd: Path) -> Result:
    """The command in this process; anything it raises but an exit is raised here."""
    with contextlib.chdir(cwd):
        return CliRunner().invoke(app, arguments, catch_exceptions=False)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job, its twin under another name, and a rack with two lengths for one of them."""
    (tmp_path / "job.yaml").write_text(FERNHOLLOW, encoding="utf-8")
    twin = FERNHOLLOW.replace("name: fernhollow", "name: twin", 1)
    (tmp_path / "twin.yaml").write_text(twin, encoding="utf-8")
    assert run("rack", "put", "rack.yaml", "MGP12 45x90", "3470", "3.5 m", cwd=tmp_path).stdout == (
        "R1: MGP12 45x90, 3470 mm\nR2: MGP12 45x90, 3500 mm\n"
    )
    return tmp_path


def rack(folder: Path) -> Rack:
    return rackfile.read(folder / "rack.yaml")


def holders(folder: Path) -> dict[str, str]:
    return {piece.id: piece.held_by for piece in rack(folder).pieces}


def test_what_one_job_holds_is_not_cut_by_another_and_leaves_once(folder: Path) -> None:
    held = run("cut", "job.yaml", "--rack", "rack.yaml", "--hold", cwd=folder)
    assert held.exit_code == 0
    assert "from the rack" in held.stdout
    assert "MGP12 45x90 @" not in held.stdout
    assert holders(folder) == {"R1": "fernhollow", "R2": "fernhollow"}
    other = run("cut", "twin.yaml", "--rack", "rack.yaml", cwd=folder)
    assert "from the rack" not in other.stdout
    assert "MGP12 45x90 @" in other.stdout
    again = run("cut", "job.yaml", "--rack", "rack.yaml", "--done", cwd=folder)
    assert again.stdout == held.stdout
    after = rack(folder)
    assert {gone.id for gone in after.gone} == {"R1", "R2"}
    assert {gone.job for gone in after.gone} == {"fernhollow"}
    twice = run("cut", "job.yaml", "--rack", "rack.yaml", "--done", cwd=folder)
    assert twice.exit_code == 2
    assert "fernhollow has been settled already" in twice.stderr
    held = run("cut", "job.yaml", "twin.yaml", "--rack", "rack.yaml", "--hold", cwd=folder)
    assert held.exit_code == 2
    assert "fernhollow has been settled already" in held.stderr
    assert rack(folder) == after


def test_what_is_worth_keeping_hangs_there_once_it_is_sawn(folder: Path) -> None:
    made = json.loads(run("cut", "job.yaml", "twin.yaml", "--json", cwd=folder).stdout)
    run("rack", "put", "rack.yaml", "skirting 92x18", "5400", "--from", "a shed", cwd=folder)
    assert made["sections"]
    assert run("cut", "job.yaml", "--rack", "rack.yaml", "--hold", cwd=folder).exit_code == 0
    assert holders(folder)["R3"] == "fernhollow"
    run("cut", "job.yaml", "--rack", "rack.yaml", "--done", cwd=folder)
    (left,) = rack(folder).pieces
    # 5 squared off, the last mark of the job alone, and the kerf after it.
    assert left.section == "skirting 92x18"
    assert left.came_from == "fernhollow"
    assert left.length_mm == pytest.approx(5400 - 5 - 3391.2 - 3, abs=0.2)


def test_a_job_let_go_may_be_planned_by_others(folder: Path) -> None:
    run("cut", "job.yaml", "--rack", "rack.yaml", "--hold", cwd=folder)
    refused = run("rack", "take", "rack.yaml", "R1", cwd=folder)
    assert refused.exit_code == 2
    assert "held by fernhollow; release it first" in refused.stderr
    assert run("rack", "release", "rack.yaml", "fernhollow", cwd=folder).stdout == "R1, R2 let go\n"
    assert run("rack", "take", "rack.yaml", "R1", cwd=folder).exit_code == 0
    gone = run("rack", "take", "rack.yaml", "R1", cwd=folder)
    assert gone.exit_code == 2
    assert "left the rack already" in gone.stderr
    shown = run("rack", "list", "rack.yaml", cwd=folder).stdout
    assert re.search(r"R2 +│ MGP12 45x90 │ 3500", shown)
    assert "R1" not in shown
    assert json.loads(run("rack", "list", "rack.yaml", "--json", cwd=folder).stdout)["gone"]


def test_a_plan_made_on_a_rack_that_has_changed_since_is_refused(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = cuts.cut

    def slow(*given: object, **more: object) -> object:
        """Someone else takes a piece while the cutting is planned."""
        if "R1" in holders(folder):
            assert run("rack", "take", "rack.yaml", "R1", cwd=folder).exit_code == 0
        return plain(*given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(cuts, "cut", slow)
    late = run("cut", "job.yaml", "--rack", "rack.yaml", "--hold", cwd=folder)
    assert late.exit_code == 4
    assert "read it again and make the change again" in late.stderr
    assert holders(folder) == {"R2": ""}


def test_many_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "rack.yaml"

    def put() -> None:
        for _ in range(10):
            rackfile.change(path, lambda rack: rack.put([("pine", 700.0)]), begin=True)

    threads = [threading.Thread(target=put) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = rackfile.read(path)
    assert found.version == 40
    assert [piece.id for piece in found.pieces] == [f"R{n}" for n in range(1, 41)]


def test_a_change_that_fails_leaves_the_file_as_it_was(folder: Path) -> None:
    path = folder / "rack.yaml"
    before = path.read_bytes()
    with pytest.raises(RackError, match="not on the rack"):
        rackfile.change(path, lambda rack: rack.take(["R9"]))
    with pytest.raises(RackConflict):
        rackfile.change(path, lambda rack: rack.take(["R1"]), seen=0)
    assert path.read_bytes() == before
    assert sorted(file.name for file in folder.iterdir()) == [
        ".rack.yaml.lock", "job.yaml", "rack.yaml", "twin.yaml",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["rack", "list", "none.yaml"], 3, "there is no such file"),
        (["rack", "list", "job.yaml"], 3, "the rack file is wrong"),
        (["rack", "list", "."], 3, "can't be read"),
        (["rack", "put", "rack.yaml", "MGP12 45x09", "900"], 2, "near: MGP12 45x90"),
        (["rack", "put", "rack.yaml", "MGP12 45x90", "long"], 2, "LENGTH 'long'"),
        (["rack", "put", "rack.yaml", "MGP12 45x90", "0"], 2, "not a length"),
        (["rack", "put", "no/rack.yaml", "MGP12 45x90", "900"], 4, "choose another place"),
        (["rack", "take", "rack.yaml", "R1", "R1"], 2, "named twice"),
        (["cut", "job.yaml", "--hold"], 2, "name its file with --rack"),
        (["cut", "job.yaml", "--rack", "rack.yaml", "--hold", "--done"], 2, "give one of them"),
        (["cut", "job.yaml", "--rack", "rack.yaml", "--seconds", "1"], 2, "planned alike again"),
        (["cut", "job.yaml", "job.yaml"], 2, "two of the files are the job fernhollow"),
        (["cut", "job.yaml", "--rack", "none.yaml"], 3, "there is no such file"),
    ],
)
def test_what_is_wrong_is_said_with_the_mend(
    folder: Path, arguments: list[str], code: int, said: str
) -> None:
    before = (folder / "rack.yaml").read_bytes()
    answer = run(*arguments, cwd=folder)
    assert answer.exit_code == code
    assert said in answer.stderr
    assert (folder / "rack.yaml").read_bytes() == before


def test_a_time_limit_gives_the_best_found_and_says_how_good_it_is(folder: Path) -> None:
    made = run("cut", "job.yaml", "--seconds", "5", cwd=folder)
    assert made.exit_code == 0
    assert "roved: " in made.stdout


def test_the_saw_and_what_is_worth_keeping_are_told(folder: Path) -> None:
    plain = run("cut", "job.yaml", cwd=folder).stdout
    assert "to the rack" not in plain
    assert "3531 (fernhollow:trim-head)" in plain  # 2 of 1764 and a kerf of 3
    told = run("cut", "job.yaml", "--kerf", "2", "--keep", "100", cwd=folder).stdout
    assert "3530 (fernhollow:trim-head)" in told
    assert "to the rack" in told
    wrong = run("cut", "job.yaml", "--keep", "some", cwd=folder)
    assert wrong.exit_code == 2
    assert "--keep 'some'" in wrong.stderr


def test_lengths_are_printed_in_the_style_of_the_first_job(folder: Path) -> None:
    path = folder / "job.yaml"
    path.write_text(FERNHOLLOW.replace("print: mm", "print: feet-inches", 1))
    shown = run("cut", "job.yaml", "twin.yaml", cwd=folder).stdout
    assert "mark 11' 4 1/32\" (fernhollow:head)" in shown  # 3455.1 mm, the usable width
    assert "3455" not in shown


def test_boards_to_buy_and_the_pieces_of_each_face(folder: Path) -> None:
    shown = run("boards", "job.yaml", cwd=folder)
    assert "Boards to buy" in shown.stdout
    assert "Side A" in shown.stdout
    assert "Side B" in shown.stdout
    (laid,) = json.loads(run("boards", "job.yaml", "--json", cwd=folder).stdout)["lining"]
    for face in laid["faces"]:
        for piece in face["pieces"]:
            assert f"{piece['id']} " in shown.stdout
            for notch in piece["notches"]:
                wide, high = (f"{round(2 * notch[key]) / 2:g}" for key in ("wide_mm", "high_mm"))
                assert f"{wide} wide x {high} high" in shown.stdout
    assert any(piece["notches"] for face in laid["faces"] for piece in face["pieces"])


@pytest.mark.parametrize("way", ["--hold", "--done"])
def test_a_stop_leaves_the_rack_as_it_is(folder: Path, way: str) -> None:
    (folder / "job.yaml").write_text(MISREAD, encoding="utf-8")
    before = (folder / "rack.yaml").read_bytes()
    refused = run("cut", "job.yaml", "--rack", "rack.yaml", way, cwd=folder)
    assert refused.exit_code == 1
    assert "DRAFT: 1 stop" in refused.stderr
    assert "width-bottom" in refused.stderr
    assert "the rack was not changed" in refused.stderr
    assert (folder / "rack.yaml").read_bytes() == before


def test_a_stop_of_one_job_stops_what_is_cut_together_with_it(folder: Path) -> None:
    (folder / "twin.yaml").write_text(
        MISREAD.replace("name: fernhollow", "name: twin", 1), encoding="utf-8"
    )
    made = run("cut", "job.yaml", "twin.yaml", cwd=folder)
    assert made.exit_code == 1
    assert made.stdout.startswith("DRAFT: 1 stop")
    assert "[STOP] twin: measure.width-bottom" in made.stdout


def test_a_piece_is_as_long_as_the_job_that_cuts_it_says(tmp_path: Path) -> None:
    """A length in feet and inches is 304.8 and 25.4 mm of each exactly (the international inch of
    1959), so 4' 2 1/2" is 1282.7 and 470 mm is 18 1/2"; what a job in feet and inches leaves over
    hangs there in feet and inches, and a job in mm leaves mm."""
    bought = catalogue.load()
    us, au = bought.cut_in(bought.region("us"))[0], "MGP12 45x90"
    put = run("rack", "put", "rack.yaml", us, "4' 2 1/2\"", "469.9", cwd=tmp_path)
    assert put.stdout == f"R1: {us}, 4' 2 1/2\"\nR2: {us}, 1' 6 1/2\"\n"
    assert rack(tmp_path).piece("R1").length_mm == pytest.approx(1282.7)
    run("rack", "put", "rack.yaml", au, "3470", cwd=tmp_path)
    listed = run("rack", "list", "rack.yaml", cwd=tmp_path).stdout
    assert "4' 2 1/2\"" in listed
    assert "3470 mm" in listed
    assert "1282.7" not in listed
    asked = run("rack", "list", "rack.yaml", "--print", "mm", cwd=tmp_path).stdout
    assert "1282.5 mm" in asked
    assert "'" not in asked
    other = run("rack", "list", "rack.yaml", "--print", "feet-inches", cwd=tmp_path).stdout
    assert "11' 4 5/8\"" in other
    wrong = run("rack", "list", "rack.yaml", "--print", "inches", cwd=tmp_path)
    assert wrong.exit_code == 2
    assert wrong.stderr == "--print 'inches': give one of mm, feet-inches\n"
