"""The small faults of `make mutants` are the ones that its page names. Source: the lines before and
after, written by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchmarks.mutants.make import sample
from benchmarks.mutants.reach import Reach

SOURCE = '''"""A room."""

from __future__ import annotations

WIDTH = Rule("w = a + b - c", {})


def least(a: int | None, *, spare: float = 0.0) -> list[int]:
    """The least of them."""
    return [min(n, 450) for n in range(5) if n > 2]


def asked(a: int) -> str:
    return f"{a + 1} of {least(a, spare=2.5)}"


def both(a: int) -> bool:
    return least(a, spare=a) and a <= 3
'''
FAULTS = {
    ('WIDTH = Rule("w = a + b - c", {})', 'WIDTH = Rule("w = a - b - c", {})'),
    ('WIDTH = Rule("w = a + b - c", {})', 'WIDTH = Rule("w = a + b + c", {})'),
    ("return least(a, spare=a) and a <= 3", "return least(a) and a <= 3"),
    ("return least(a, spare=a) and a <= 3", "return least(a, spare=a) or a <= 3"),
    ("return least(a, spare=a) and a <= 3", "return least(a, spare=a) and a < 3"),
    ("return least(a, spare=a) and a <= 3", "return least(a, spare=a) and a > 3"),
    ("return least(a, spare=a) and a <= 3", "return least(a, spare=a) and a <= 4"),
}


@pytest.fixture
def source(tmp_path: Path) -> Path:
    room = tmp_path / "truehang" / "plan"
    room.mkdir(parents=True)
    (room / "room.py").write_text(SOURCE)
    return tmp_path


def test_each_fault_is_one_that_the_page_names(source: Path) -> None:
    made = {
        (m.was, " ".join(m.becomes.split()))
        for seed in range(60)
        for m in sample(source, "plan", 3, seed)
    }
    assert made >= FAULTS
    listed = {b for a, b in made if a.startswith("return [")}
    assert "return [max(n, 450) for n in range(5) if n > 2]" in listed
    assert "return [min(n, 495) for n in range(5) if n > 2]" in listed
    assert "return [min(n, 450) for n in range(5) if not (n > 2)]" in listed
    unchanged = ("a: int | None, ", 'f"{a + 1} of {least(a, spare=2.5)}"')
    assert all(part in b for a, b in made for part in unchanged if part in a)


def test_a_seed_draws_the_same_faults_again_and_no_two_at_one_place(source: Path) -> None:
    first, again = sample(source, "plan", 9, 4), sample(source, "plan", 9, 4)
    assert first == again
    assert len({m.key for m in first}) == len(first) == 9
    assert first != sample(source, "plan", 9, 5)


def test_a_fault_gets_the_files_that_run_its_line_its_own_first_within_the_budget(
    source: Path,
) -> None:
    mutant = next(m for m in sample(source, "plan", 9, 4) if m.line == 18)
    assert (mutant.path, mutant.within) == ("truehang/plan/room.py", "both")
    here = {mutant.path: {18}}
    reach = Reach(
        {"tests/fit/a.py": 1.0, "tests/plan/b.py": 2.0, "tests/plan/test_room.py": 9.0, "c": 0.1},
        {"tests/fit/a.py": here, "tests/plan/b.py": here, "tests/plan/test_room.py": here}
        | {"c": {mutant.path: {17}}},
    )
    assert reach.of(mutant, 100) == ["tests/plan/test_room.py", "tests/plan/b.py", "tests/fit/a.py"]
    assert reach.of(mutant, 11) == ["tests/plan/test_room.py", "tests/plan/b.py"]
