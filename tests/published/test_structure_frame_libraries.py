"""Three general-purpose open-source structural libraries, each with its own stiffness method:
PyCBA (continuous beams), anaStruct (plane frames) and PyNite (space frames)."""

from itertools import pairwise

import numpy as np
import pycba
import pytest
from anastruct import SystemElements
from Pynite import FEModel3D

from truehang.structure.beams import Beam, moving_deflection, point_deflection, uniform_deflection
from truehang.structure.inputs import HeadMember, HungLeaf, TrackHead
from truehang.structure.track_head import STATIONS, head_movement

SPAN = 3406.0
BREADTH, DEPTH, MODULUS = 45.0, 240.0, 10000.0
INERTIA = BREADTH * DEPTH**3 / 12.0
BEAM = Beam(SPAN, MODULUS * INERTIA)
LOADS = np.array([212.0, 205.0])
HANGERS = np.array([1600.0, 950.0])
TRAVEL = -830.0
WEIGHT = 0.198


def _pycba(points: list[tuple[float, float]], uniform: float = 0.0) -> tuple[np.ndarray, ...]:
    beam = pycba.BeamAnalysis([SPAN], MODULUS * INERTIA, [-1, 0, -1, 0])
    for load, at in points:
        beam.add_pl(1, load, at)
    if uniform:
        beam.add_udl(1, uniform)
    beam.analyze(npts=400)
    results = beam.beam_results.results
    return results.x, -results.D


def test_deflected_shape_against_pycba() -> None:
    x, theirs = _pycba([(LOADS[0], HANGERS[0]), (LOADS[1], HANGERS[1])], WEIGHT)
    ours = uniform_deflection(BEAM, WEIGHT, x) + point_deflection(
        BEAM, LOADS[:, None], HANGERS[:, None], x[None, :]
    ).sum(axis=0)
    assert theirs.max() > 1.0
    np.testing.assert_allclose(ours, theirs, atol=2e-5 * theirs.max())


def test_hanger_deflections_against_anastruct() -> None:
    frame = SystemElements(EI=MODULUS * INERTIA, EA=1e12)
    joints = [0.0, *sorted(HANGERS), SPAN]
    for left, right in pairwise(joints):
        frame.add_element([[left, 0], [right, 0]])
    frame.add_support_hinged(1)
    frame.add_support_roll(4)
    frame.point_load(2, Fy=-LOADS[1])
    frame.point_load(3, Fy=-LOADS[0])
    frame.solve()
    theirs = {node["id"]: -node["uy"] for node in frame.get_node_displacements()}
    ours = moving_deflection(BEAM, LOADS, HANGERS[None, :], HANGERS)[0]
    assert ours[0] == pytest.approx(theirs[3], rel=1e-9)
    assert ours[1] == pytest.approx(theirs[2], rel=1e-9)


def test_moving_envelope_against_pynite() -> None:
    """The leaf in eleven places; one load case each in one model."""
    model = FEModel3D()
    model.add_node("left", 0, 0, 0)
    model.add_node("right", SPAN, 0, 0)
    model.add_material("timber", MODULUS, 670.0, 0.3, 0.0)
    model.add_section("head", BREADTH * DEPTH, INERTIA, INERTIA, 2 * INERTIA)
    model.add_member("beam", "left", "right", "timber", "head")
    model.def_support("left", True, True, True, True, False, False)
    model.def_support("right", False, True, True, False, False, False)
    moved = np.linspace(0.0, TRAVEL, 11)
    for i, shift in enumerate(moved):
        for load, at in zip(LOADS, HANGERS + shift, strict=True):
            model.add_member_pt_load("beam", "Fy", -load, at, case=f"place {i}")
        model.add_load_combo(f"place {i}", {f"place {i}": 1.0})
    model.analyze_linear()
    positions = HANGERS[None, :] + moved[:, None]
    ours = moving_deflection(BEAM, LOADS, positions, positions)
    for i, places in enumerate(positions):
        for k, x in enumerate(places):
            theirs = -model.members["beam"].deflection("dy", x, f"place {i}")
            assert ours[i, k] == pytest.approx(theirs, rel=1e-6)


def test_worst_hanger_deflection_of_a_pair_against_pycba() -> None:
    """`head_movement` with no shear and no creep: every pair of places of two leaves, by the
    library one static case at a time, on a coarse grid that holds our own stations."""
    member = HeadMember("45x240", BREADTH, DEPTH, MODULUS, 1e12, 500.0, creep=1.0)
    left = HungLeaf("left", 1700.0, 850.0, (1600.0, 950.0), (212.0, 205.0), TRAVEL, 2340.0, 10.0)
    right = HungLeaf("right", 1706.0, 2556.0, (1806.0, 2456.0), (240.0, 230.0), 830.0, 2340.0, 10.0)
    movement = head_movement(TrackHead(0.0, SPAN, member, (left, right)))
    weight = 500.0 * BREADTH * DEPTH * 1e-9 * 9.81
    stride = (STATIONS - 1) // 5
    places = np.linspace(0.0, 1.0, STATIONS)[::stride]
    worst = 0.0
    for mine in places:
        for other in places:
            loads = [
                (load, at + leaf.travel * share)
                for leaf, share in ((left, mine), (right, other))
                for load, at in zip(leaf.loads, leaf.hangers, strict=True)
            ]
            x, down = _pycba(loads, weight)
            worst = max(worst, *(float(np.interp(at, x, down)) for _, at in loads))
    assert movement.deflection == pytest.approx(worst, rel=1e-4)
    assert movement.leaves[0].at == 0.0
