"""Does the model in space show the arrangement as planned, with nothing in the leaves' way?

Files are read back with pygltflib and by the rules of glTF 2.0 (ISO/IEC 12113:2022), lightness by
CIE 1976 L*.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from pygltflib import GLTF2

from truehang import catalogue, demo
from truehang.drawing.gltf import COLOURS, OPENING_SECONDS, SLIDE, glb
from truehang.drawing.solid import KINDS, Solid, extent, solids
from truehang.job import Job, load
from truehang.members import standing
from truehang.plan import Plan, plan
from truehang.shapes import Block

DEMOS = (
    ("fernhollow", "fernhollow"),  # a pair in an old opening
    ("quarry-house", "quarry-house"),  # a single to the left, flooring still to come, load above
    ("millrace-cottage", "millrace-cottage"),  # beside an old opening, framing found in the wall
    ("juniper-court", "juniper-court"),  # in inches, carpet to come on one side
    ("granary-hall", "granary-hall"),  # a pair under a steel beam that is there and sags
    ("tannery-lofts", "tannery-f03"),  # a single to the right
    ("tannery-lofts", "tannery-f07"),  # a pair with hardly any infill
    ("tannery-lofts", "tannery-g06"),  # built on site
)
TOUCH = 0.3
"""How far parts may run into each other, mm: packers stand level on a floor that falls."""
SHARES = (0.0, 0.2, 0.5, 0.77, 1.0)


def job_of(folder: str, name: str) -> Job:
    return load(dict(demo.files(folder))[f"{name}.yaml"])


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    shelf = catalogue.load()
    made = {name: plan(job_of(folder, name), shelf) for folder, name in DEMOS}
    # A much narrower door in the same old opening leaves an infill wide enough for studs.
    job = job_of("fernhollow", "fernhollow")
    narrow = job.wishes.model_copy(update={"clear_width": 900.0, "arrangements": ("single-left",)})
    made["narrow"] = plan(job.model_copy(update={"wishes": narrow}), shelf)
    return made


NAMES = [name for _, name in DEMOS] + ["narrow"]


def overlap(a: Block, b: Block) -> float:
    """How far two blocks run into each other along the axis where they do so least, mm."""
    x0, x1 = max(a.x0, b.x0), min(a.x1, b.x1)
    through = min(a.y1, b.y1) - max(a.y0, b.y0)
    if x1 - x0 <= 0 or through <= 0:
        return 0.0

    def height(x: float) -> float:
        def at(block: Block, ends: tuple[float, float]) -> float:
            return ends[0] + (ends[1] - ends[0]) * (x - block.x0) / (block.x1 - block.x0)

        return min(at(a, a.top), at(b, b.top)) - max(at(a, a.bottom), at(b, b.bottom))

    return max(0.0, min(x1 - x0, through, max(height(x0), height(x1))))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("share", SHARES)
def test_no_part_stands_in_another_wherever_the_leaves_are(
    plans: dict[str, Plan], name: str, share: float
) -> None:
    parts = solids(plans[name])
    met = [
        (one.name, two.name, round(deep, 2))
        for one, two in combinations(parts, 2)
        if (one.kind, two.kind) != ("packer", "packer")  # a narrow jamb stands on one stack
        for a in one.at(share)
        for b in two.at(share)
        if (deep := overlap(a, b)) > TOUCH
    ]
    assert met == []


def test_the_check_sees_a_leaf_that_runs_into_a_stud(plans: dict[str, Plan]) -> None:
    parts = solids(plans["quarry-house"])
    leaf = next(part for part in parts if part.kind == "leaf")
    stud = next(part for part in parts if part.name.startswith("back stud"))
    too_far = replace(leaf, travel=leaf.travel * 1.2)
    assert overlap(too_far.at(1.0)[0], stud.at(1.0)[0]) > TOUCH


@pytest.mark.parametrize("name", NAMES)
def test_leaves_stand_and_move_as_the_arrangement_says(plans: dict[str, Plan], name: str) -> None:
    made = plans[name].arrangement
    assert made is not None
    parts = {part.name: part for part in solids(plans[name])}
    for leaf in made.leaves:
        closed, opened = parts[leaf.name].at(0.0)[0], parts[leaf.name].at(1.0)[0]
        assert (closed.x0, closed.x1) == (leaf.closed.low, leaf.closed.high)
        assert opened.x0 == pytest.approx(leaf.open.low)
        assert opened.x1 == pytest.approx(leaf.open.high)
        assert abs(parts[leaf.name].travel) == pytest.approx(leaf.travel)
        assert closed.bottom[0] == leaf.bottom
        assert closed.top[0] == leaf.top
        assert closed.y1 - closed.y0 == pytest.approx(leaf.thickness)


@pytest.mark.parametrize("name", NAMES)
def test_the_passage_is_clear_through_the_whole_wall(plans: dict[str, Plan], name: str) -> None:
    made = plans[name].arrangement
    assert made is not None
    heights = made.heights
    floor = max(z for part in solids(plans[name]) if part.kind == "floor"
                for block in part.blocks for z in block.top)  # fmt: skip
    way = Block(
        made.passage.low, made.passage.high, -50.0, made.wall.thickness + 50.0,
        (floor, floor), (heights.clear_head, heights.clear_head),
    )  # fmt: skip
    met = [
        part.name
        for part in solids(plans[name])
        for block in part.at(1.0)
        if overlap(way, block) > TOUCH and part.kind != "service"
    ]
    assert met == []


def test_everything_in_the_arrangement_is_there(plans: dict[str, Plan]) -> None:
    for name in NAMES:
        made = plans[name].arrangement
        assert made is not None
        names = [part.name for part in solids(plans[name])]
        assert len(names) == len(set(names))
        ribs = [part for part in names if part.startswith("rib ")]
        assert len(ribs) == 2 * sum(len(pocket.rib_centres) for pocket in made.pockets)
        assert sum(part.startswith("back stud") for part in names) == len(made.pockets)
        assert ("closing jamb" in names) == (made.closing_jamb is not None)
        packs = [pack for pack in made.packs if pack.height > 0.05]
        assert sum(part.startswith("packers") for part in names) == len(packs)
    infill = [part.role for part in solids(plans["narrow"]) if "infill" in part.name]
    assert set(infill) == {"plate", "infill stud"}


@pytest.mark.parametrize("name", NAMES)
def test_framing_stands_where_the_plan_has_it(plans: dict[str, Plan], name: str) -> None:
    """One framing for the takeoff and the model: each piece once, where it is, as long as cut."""
    made = plans[name]
    parts = {part.name: part for part in solids(made)}
    assert made.arrangement is not None
    low, high = extent(made, made.arrangement)
    pieces = [
        piece for piece in standing(made.members)
        if piece.z.length > 0.1 and piece.x.high > low and piece.x.low < high
    ]  # fmt: skip
    assert [m.name for m in pieces] == [n for n, part in parts.items() if n in
                                        {m.name for m in pieces} and part.role]  # fmt: skip
    for piece in pieces:
        shown = tuple(
            replace(b, x0=max(b.x0, low), x1=min(b.x1, high)) for b in piece.blocks
        )  # what is there goes on beyond the wall that is shown
        assert parts[piece.name].blocks == shown
        assert shown == piece.blocks or piece.origin != "new"
        assert parts[piece.name].role == piece.role
    assert made.takeoff is not None
    for item in made.takeoff.group("framing"):
        counted = [parts[m.name] for m in pieces if m.key == item.key]
        assert len(counted) == item.count, item.key
    # "narrow" takes a frame of fixed height, over which there is no room for a new head.
    heads = [part for part in parts.values() if part.name.startswith("head over the frame")]
    # and granary-hall hangs from the beam that is there
    assert bool(heads) == (name not in ("narrow", "granary-hall"))


def test_a_service_that_must_move_says_who_moves_it(plans: dict[str, Plan]) -> None:
    names = [part.name for part in solids(plans["fernhollow"]) if part.kind == "service"]
    assert any("outlet-post" in name and "to be moved by the electrician" in name for name in names)


def test_kinds_are_told_apart_without_colour() -> None:
    def lightness(kind: str) -> float:
        linear = [
            c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
            for c in (v / 255 for v in COLOURS[kind])  # type: ignore[index]
        ]
        luminance = sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
        return 116 * luminance ** (1 / 3) - 16

    rising = [lightness(kind) for kind in KINDS]
    assert all(later - earlier >= 9 for earlier, later in pairwise(rising)), rising


# ---------------------------------------------------------------- the file


def read(data: bytes) -> GLTF2:
    return GLTF2.load_from_bytes(data)


def floats(gltf: GLTF2, accessor: int) -> list[tuple[float, ...]]:
    """The vectors of an accessor, unpacked from the buffer."""
    about = gltf.accessors[accessor]
    view = gltf.bufferViews[about.bufferView]
    width = {"SCALAR": 1, "VEC3": 3}[about.type]
    blob = gltf.binary_blob()[view.byteOffset : view.byteOffset + view.byteLength]
    values = struct.unpack(f"<{about.count * width}f", blob)
    return [tuple(values[i : i + width]) for i in range(0, len(values), width)]


def model(parts: tuple[Solid, ...]) -> bytes:
    return glb(parts, "a job", {"job": "a-job"})


@pytest.mark.parametrize("name", NAMES)
def test_the_file_holds_every_part_where_it_stands(plans: dict[str, Plan], name: str) -> None:
    parts = {part.name: part for part in solids(plans[name])}
    gltf = read(model(tuple(parts.values())))
    nodes = {node.name: node for node in gltf.nodes}
    assert set(parts) <= set(nodes)
    for part in parts.values():
        primitive = gltf.meshes[nodes[part.name].mesh].primitives[0]
        corners = floats(gltf, primitive.attributes.POSITION)
        assert min(c[0] for c in corners) * 1000 == pytest.approx(
            min(b.x0 for b in part.blocks), abs=0.01
        )
        assert max(c[0] for c in corners) * 1000 == pytest.approx(
            max(b.x1 for b in part.blocks), abs=0.01
        )
        assert max(c[1] for c in corners) * 1000 == pytest.approx(
            max(z for b in part.blocks for z in b.top), abs=0.01
        )
        assert min(c[2] for c in corners) * 1000 == pytest.approx(
            -max(b.y1 for b in part.blocks), abs=0.01
        )
        about = gltf.accessors[primitive.attributes.POSITION]
        assert about.min == [min(c[axis] for c in corners) for axis in range(3)]
        assert about.max == [max(c[axis] for c in corners) for axis in range(3)]


def triangles(gltf: GLTF2, mesh: int) -> Iterator[tuple[tuple[float, ...], ...]]:
    primitive = gltf.meshes[mesh].primitives[0]
    corners = floats(gltf, primitive.attributes.POSITION)
    about = gltf.accessors[primitive.indices]
    view = gltf.bufferViews[about.bufferView]
    blob = gltf.binary_blob()[view.byteOffset : view.byteOffset + view.byteLength]
    order = struct.unpack(f"<{about.count}H", blob)
    for at in range(0, len(order), 3):
        yield tuple(corners[i] for i in order[at : at + 3])


def test_faces_look_outwards(plans: dict[str, Plan]) -> None:
    """By the divergence theorem a closed surface that looks outwards bounds a positive volume."""
    parts = solids(plans["quarry-house"])
    gltf = read(model(parts))
    nodes = {node.name: node for node in gltf.nodes}
    for part in parts:
        volume = 0.0
        for a, b, c in triangles(gltf, nodes[part.name].mesh):
            volume += (
                a[0] * (b[1] * c[2] - b[2] * c[1])
                - a[1] * (b[0] * c[2] - b[2] * c[0])
                + a[2] * (b[0] * c[1] - b[1] * c[0])
            ) / 6
        solid = sum(
            (b.x1 - b.x0) * (b.y1 - b.y0) * (sum(b.top) - sum(b.bottom)) / 2 for b in part.blocks
        )
        assert volume == pytest.approx(solid / 1e9, rel=1e-2), part.name


@pytest.mark.parametrize("name", NAMES)
def test_the_animation_opens_each_leaf_and_closes_it_again(
    plans: dict[str, Plan], name: str
) -> None:
    made = plans[name].arrangement
    assert made is not None
    gltf = read(model(solids(plans[name])))
    (slide,) = gltf.animations
    assert slide.name == SLIDE
    moved = {}
    for channel in slide.channels:
        assert channel.target.path == "translation"
        sampler = slide.samplers[channel.sampler]
        assert floats(gltf, sampler.input) == [(0.0,), (OPENING_SECONDS,), (2 * OPENING_SECONDS,)]
        moved[gltf.nodes[channel.target.node].name] = floats(gltf, sampler.output)
    assert set(moved) == {leaf.name for leaf in made.leaves}
    for leaf in made.leaves:
        start, there, end = moved[leaf.name]
        assert start == end == (0.0, 0.0, 0.0)
        assert there[0] * 1000 == pytest.approx(leaf.open.low - leaf.closed.low, abs=0.01)
        assert there[1:] == (0.0, 0.0)


def test_hangers_and_pulls_hang_on_their_leaf(plans: dict[str, Plan]) -> None:
    gltf = read(model(solids(plans["fernhollow"])))
    nodes = {node.name: node for node in gltf.nodes}
    for leaf in ("left leaf", "right leaf"):
        riding = {gltf.nodes[child].name for child in nodes[leaf].children}
        assert riding == {f"pulls of the {leaf}", f"hangers of the {leaf}"}


def test_linings_can_be_hidden_by_name_and_seen_through(plans: dict[str, Plan]) -> None:
    gltf = read(model(solids(plans["fernhollow"])))
    nodes = {node.name: node for node in gltf.nodes}
    under = {gltf.nodes[child].name for child in nodes["linings"].children}
    assert under == {"lining A", "lining B"}
    for name in under:
        material = gltf.materials[gltf.meshes[nodes[name].mesh].primitives[0].material]
        assert material.name == name
        assert material.alphaMode == "BLEND"
        assert material.pbrMetallicRoughness.baseColorFactor[3] < 0.5


def test_the_same_plan_gives_the_same_bytes(plans: dict[str, Plan]) -> None:
    again = plan(job_of("quarry-house", "quarry-house"), catalogue.load())
    assert model(solids(plans["quarry-house"])) == model(solids(again))


def test_where_nothing_fits_there_is_no_model() -> None:
    job = job_of("quarry-house", "quarry-house")
    wishes = job.wishes.model_copy(update={"clear_width": 3000.0})
    nothing = plan(job.model_copy(update={"wishes": wishes}), catalogue.load())
    assert nothing.arrangement is None
    assert solids(nothing) == ()
    with pytest.raises(ValueError, match="choose an option that fits"):
        model(())
