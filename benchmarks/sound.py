"""How long does a sound prediction take? Prints medians of this machine; asserts nothing.

python -m benchmarks.sound
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from benchmarks.clock import Taken, timed
from tests.sound.predicted import predict

from truehang.catalogue.seals import seals, sound_offers
from truehang.sound import (
    DoublePanel,
    Layer,
    LeafArea,
    Panel,
    PocketZone,
    Slit,
    SoundInput,
    leaf_panel,
    usual_upgrades,
)
from truehang.sound.ratings import weighted

RUNS = 15


def pair() -> SoundInput:
    """An invented pair of hollow leaves in a stud wall, every gap open."""
    board = Panel((Layer("plasterboard", 10),))
    wall = DoublePanel(face_a=board, face_b=board, cavity=90, stud_spacing=450)
    leaf = leaf_panel("hollow-core", 35, 8.5)
    pockets = tuple(
        PocketZone(
            name=f"{side} pocket",
            width=900,
            height=2400,
            skins=replace(wall, stud_spacing=None),
            mouth_gap=6,
            tail=30,
            leaf_thickness=35,
            leaf=leaf,
        )
        for side in ("left", "right")
    )
    return SoundInput(
        wall=wall,
        wall_area=13.0,
        opening_area=8.7,
        leaves=tuple(LeafArea(f"{side} leaf", 820, 2360, leaf) for side in ("left", "right")),
        pockets=pockets,
        slits=(
            Slit(name="under left", kind="floor", width=10, depth=35, length=820, place="edge"),
            Slit(name="under right", kind="floor", width=8, depth=35, length=820, place="edge"),
            Slit(name="meeting gap", kind="meeting", width=4, depth=35, length=2360),
            Slit(name="head", kind="head", width=6, depth=35, length=1640),
        ),
    )


def rows() -> list[tuple[str, Taken, float | None]]:
    """Each part of the prediction: what, how long, and the milliseconds aimed at, if any."""
    plain = pair()
    offered = replace(plain, upgrades=usual_upgrades(plain, sound_offers(), seals(), "AUD"))
    many = np.random.default_rng(1).uniform(20, 60, (2000, 16))
    return [
        ("sound: prediction with a 2000-draw band", timed(lambda: predict(plain), RUNS), 50.0),
        (
            f"sound: the same, {len(offered.upgrades)} upgrades put in order",
            timed(lambda: predict(offered), RUNS),
            None,
        ),
        ("sound: Rw of 2000 spectra by 0.1 dB", timed(lambda: weighted(many, 0.1), RUNS), None),
    ]


if __name__ == "__main__":
    for what, taken, _ in rows():
        print(f"{what:52}{taken.wall:8.1f} ms{taken.processor:8.1f} ms of processor")
