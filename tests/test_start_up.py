"""What is loaded to answer a command? Only what that command uses."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from truehang import demo, lazily

HEAVY = ("scipy", "highspy", "shapely", "ezdxf", "typst", "sqlalchemy", "fastapi", "openpyxl")
LOADED = """
import sys
from truehang.cli import app
try:
    app(sys.argv[1:])
except SystemExit:
    pass
print("LOADED", *sorted({name.partition(".")[0] for name in sys.modules}))
"""


def loaded(*command: str) -> set[str]:
    run = subprocess.run(
        [sys.executable, "-c", LOADED, *command], check=True, capture_output=True, text=True
    )
    return set(run.stdout.splitlines()[-1].split()) - {"LOADED"}


# A plan lays the boards, since screws and joints follow from them, and Shapely cuts them out. A
# check finds what the pack finds, so it cuts the timber too, and asks the solver.
@pytest.mark.parametrize(
    ("command", "uses"), [("check", {"shapely", "highspy"}), ("plan", {"shapely"})]
)
def test_a_plan_loads_no_drawing_or_store(command: str, uses: set[str], tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(demo.files("fernhollow")[0][1], encoding="utf-8")
    assert "numpy" in (found := loaded(command, str(job)))
    assert found.isdisjoint({*HEAVY} - uses)


def test_help_loads_no_numbers_either() -> None:
    assert loaded("--help").isdisjoint({*HEAVY, "numpy", "yaml"})


def test_a_package_has_only_the_names_that_it_offers() -> None:
    find = lazily.offered("truehang.cutting", request=("Part",))
    assert find("Part").__name__ == "Part"
    with pytest.raises(AttributeError, match="has no attribute 'Plane'"):
        find("Plane")
