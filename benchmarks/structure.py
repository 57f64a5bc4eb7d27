"""How fast is the sizing of a whole catalogue, and how does the deflection envelope compare with
general structural libraries on the same case, in the same run?

    python -m benchmarks.structure
"""

from __future__ import annotations

import numpy as np
import pycba
from benchmarks.clock import Taken, timed
from Pynite import FEModel3D
from tests.timber import TIMBER

from truehang.structure import (
    AreaLoad,
    BearingHead,
    HeadMember,
    HungLeaf,
    TrackHead,
    head_movement,
    size_head,
)
from truehang.structure.beams import Beam, moving_deflection

SPAN, BREADTH, DEPTH, MODULUS = 3406.0, 45.0, 240.0, 10000.0
INERTIA = BREADTH * DEPTH**3 / 12.0
LOADS, HANGERS = np.array([212.0, 205.0]), np.array([1600.0, 950.0])
POSITIONS = HANGERS[None, :] + np.linspace(0.0, -830.0, 61)[:, None]
POINTS = np.linspace(0.0, SPAN, 81)


def moving_envelope(positions: np.ndarray) -> np.ndarray:
    """Envelope of one leaf at 81 points, by our closed forms."""
    beam = Beam(SPAN, MODULUS * INERTIA)
    return moving_deflection(beam, LOADS, positions, POINTS).max(axis=0)


def by_pycba() -> np.ndarray:
    """The same by PyCBA: one stiffness analysis for each place."""
    envelope = np.zeros_like(POINTS)
    for places in POSITIONS:
        beam = pycba.BeamAnalysis([SPAN], MODULUS * INERTIA, [-1, 0, -1, 0])
        for load, at in zip(LOADS, places, strict=True):
            beam.add_pl(1, load, at)
        beam.analyze(npts=len(POINTS) - 1)
        results = beam.beam_results.results
        envelope = np.maximum(envelope, np.interp(POINTS, results.x, -results.D))
    return envelope


def by_pynite() -> np.ndarray:
    """Every sixth place by PyNite: one model, one load combination for each place."""
    model = FEModel3D()
    model.add_node("left", 0, 0, 0)
    model.add_node("right", SPAN, 0, 0)
    model.add_material("timber", MODULUS, 670.0, 0.3, 0.0)
    model.add_section("head", BREADTH * DEPTH, INERTIA, INERTIA, 2 * INERTIA)
    model.add_member("beam", "left", "right", "timber", "head")
    model.def_support("left", True, True, True, True, False, False)
    model.def_support("right", False, True, True, False, False, False)
    for i, places in enumerate(POSITIONS[::6]):
        for load, at in zip(LOADS, places, strict=True):
            model.add_member_pt_load("beam", "Fy", -load, at, case=f"{i}")
        model.add_load_combo(f"{i}", {f"{i}": 1.0})
    model.analyze_linear()
    beam = model.members["beam"]
    downs = [
        [-beam.deflection("dy", x, f"{i}") for x in POINTS] for i in range(len(model.load_combos))
    ]
    return np.max(downs, axis=0)


def rows() -> list[tuple[str, Taken, float | None]]:
    """Our own work: what, how long, and the milliseconds aimed at, if any."""
    floor = AreaLoad("floor", "floor", 0.6, 1.5, 2000.0)
    roof = AreaLoad("roof", "roof", 0.9, 0.25, 2500.0)
    head = BearingHead(1800.0, 2400.0, "AS 1720.1", (floor, roof), "MGP10", 45.0, 90.0)
    member = HeadMember("45x240", BREADTH, DEPTH, MODULUS, 670.0, 500.0, creep=2.0)
    pair = (
        HungLeaf("left", 1700, 850, (1600, 950), (212, 205), -830, 2340, 10),
        HungLeaf("right", 1706, 2556, (1806, 2456), (212, 205), 830, 2340, 10),
    )
    track = TrackHead(0.0, SPAN, member, pair, lining=15.0)
    built_up = len(size_head(head, TIMBER).candidates)
    return [
        (
            f"structure: a head sized, {built_up} built up",
            timed(lambda: size_head(head, TIMBER), 30),
            20.0,
        ),
        (
            "structure: head under a pair, all positions",
            timed(lambda: head_movement(track), 30),
            None,
        ),
        (
            f"structure: envelope of one leaf in {len(POSITIONS)} places",
            timed(lambda: moving_envelope(POSITIONS), 50),
            None,
        ),
    ]


def beside() -> list[tuple[str, Taken, float, float]]:
    """The envelope by other libraries: what, how long, how many times ours, and how far apart."""
    found = []
    for name, work, share in (("PyCBA", by_pycba, 1), ("PyNite", by_pynite, 6)):
        places = POSITIONS[::share]
        ours = moving_envelope(places)
        apart = float(np.abs(work() - ours).max() / ours.max())
        slow, quick = timed(work, 1), timed(lambda p=places: moving_envelope(p), 50)
        what = f"  envelope in {len(places)} places by {name}"
        found.append((what, slow, slow.processor / quick.processor, apart))
    return found


if __name__ == "__main__":
    for what, taken, _ in rows():
        print(f"{what:52}{taken.wall:8.1f} ms{taken.processor:8.1f} ms of processor")
    for what, taken, ratio, apart in beside():
        print(
            f"{what:52}{taken.wall:8.1f} ms, {ratio:.0f} times as long as ours, {apart:.1e} apart"
        )
