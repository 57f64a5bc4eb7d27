"""The demo files and random jobs that `test_every_file` makes no pack of: the spreadsheet, the
prompt and the plan as JSON, in every region and both prints by turns.

Source: as in `test_every_file`. Seen red with the spreadsheet dropping the spaces that do not
break, so that 11' 1 5/16" stood in its cell as 11'15/16".
"""

from __future__ import annotations

from functools import cache

import pytest
from tests.printed import test_every_file as whole_packs
from tests.printed.reading import IMPERIAL, METRIC, plain, texts
from tests.printed.recorder import Heard, listening

from truehang import catalogue, demo
from truehang.pack import assemble, sheets
from truehang.plain import to_json, to_plain
from truehang.plan import Plan, complete, plan

NAMES = [
    *(f"{name} {number}" for name in demo.names() for number in range(len(demo.files(name)))),
    *(f"seed {seed}" for seed in (5, 17, 23, 29, 37, 41, 53, 61)),
]
PRINTS = [(style, region) for region in whole_packs.REGIONS for style in whole_packs.PRINTS]
MADE = {(name, style, region) for name, style, region in whole_packs.JOBS}
IN_STEPS = {"1000", "600"}
"""What a level is read over, and how far clamps are apart: written into the steps themselves."""
JOBS = [
    (name, *PRINTS[turn % len(PRINTS)])
    for turn, name in enumerate(NAMES)
    if (name, *PRINTS[turn % len(PRINTS)]) not in MADE
]


@cache
def made(name: str, style: str, region: str) -> tuple[Plan, dict[str, bytes], Heard]:
    known = catalogue.load()
    with listening() as heard:
        whole = complete(plan(whole_packs.job_of(name, style, region), known), known)
        files = {
            "takeoff-and-rod.xlsx": sheets.workbook(whole, assemble.printing(whole)),
            "prompt.txt": whole_packs.at_the_prompt(whole),
            # The job stands in it as it was written: 19.05 mm for 3/4".
            "plan.json": to_json({**to_plain(whole), "job": None}).encode(),
        }
        return whole, files, heard


@pytest.mark.parametrize(("name", "style", "region"), JOBS)
def test_sheet_prompt_and_json_print_what_was_reckoned(name: str, style: str, region: str) -> None:
    whole, files, heard = made(name, style, region)
    assert heard.misprints() == [], heard.misprints()[:5]
    known = {plain(text).removeprefix("+").lstrip("-") for text in heard.calls}
    pattern = METRIC if style == "mm" else IMPERIAL
    names, wrong, seen = whole_packs.names_in(whole), [], 0
    for file, data in files.items():
        for text in texts(file, data):
            for found in pattern.findall(names.sub("", plain(text)).replace('under 1/32"', "")):
                seen += 1
                bare = found.lstrip("+-").removesuffix("mm").strip()
                if bare not in known and bare not in whole_packs._SHOWN | IN_STEPS:
                    wrong.append((file, found, text[:80]))
    assert wrong == [], wrong[:10]
    assert seen > (100 if whole.arrangement else 3)
