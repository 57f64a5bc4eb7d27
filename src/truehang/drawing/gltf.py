"""How do the parts of the build become one model that moves? glTF 2.0 (ISO/IEC 12113:2022).

Metres, y up, x along the wall to the right as seen from side A, which looks along -z. One node for
each part by its name, under a node for each group, so that any viewer can hide what is in the
way. The animation "slide" opens the leaves and closes them again. Same parts, same bytes.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from truehang.drawing.solid import Kind, Solid
from truehang.shapes import Block

if TYPE_CHECKING:
    from pygltflib import GLTF2

SLIDE = "slide"
OPENING_SECONDS = 2.0
"""How long the leaves take to open in the animation, and to close again."""
SEEN_THROUGH = 0.35
"""How opaque a lining is."""

# Lightness L* (CIE 1976) rises from kind to kind by 9 or more, so that the kinds stay apart without
# colour; a test holds this.
COLOURS: dict[Kind, tuple[int, int, int]] = {
    "service": (0x4A, 0x10, 0x35),
    "metal": (0x3A, 0x40, 0x4A),
    "packer": (0x1F, 0x5F, 0x8B),
    "floor": (0x7A, 0x72, 0x68),
    "timber": (0xA8, 0x85, 0x55),
    "frame": (0xD9, 0xA0, 0x55),
    "leaf": (0x8F, 0xD6, 0xC4),
    "lining": (0xF4, 0xF1, 0xEA),
}
"""sRGB colour of each kind of material."""

# Corners of a block by (x, y, z) at its low (0) or high (1) side, counter-clockwise from outside
# in the wall's own frame; turning z up into y up keeps that order.
_FACES = (
    ((0, 0, 0), (1, 0, 0), (1, 0, 1), (0, 0, 1)),
    ((1, 1, 0), (0, 1, 0), (0, 1, 1), (1, 1, 1)),
    ((0, 1, 0), (0, 0, 0), (0, 0, 1), (0, 1, 1)),
    ((1, 0, 0), (1, 1, 0), (1, 1, 1), (1, 0, 1)),
    ((0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1)),
    ((0, 1, 0), (1, 1, 0), (1, 0, 0), (0, 0, 0)),
)

Vector = tuple[float, float, float]


def glb(parts: Sequence[Solid], name: str, about: dict[str, str]) -> bytes:
    """The model as one binary file. `name` is that of its root node, `about` goes along as extras.

    Raises ValueError where there are no parts: a model of nothing is of no use.
    """
    if not parts:
        raise ValueError("there are no parts to model; choose an option that fits first")
    model = _Model(name, about)
    for group, members in groupby(parts, key=lambda part: part.group):
        model.add(group, tuple(members))
    return model.whole()


class _Model:
    """A glTF being put together: nodes, meshes, and one buffer that grows."""

    def __init__(self, name: str, about: dict[str, str]) -> None:
        import pygltflib as g

        self._g = g
        self._gltf: GLTF2 = g.GLTF2(
            asset=g.Asset(version="2.0", generator="Truehang", extras=about),
            scene=0,
            scenes=[g.Scene(name=name, nodes=[0])],
            nodes=[g.Node(name=name, children=[])],
        )
        self._data = bytearray()
        self._materials: dict[str, int] = {}
        self._moving: list[tuple[int, float]] = []

    def add(self, group: str, parts: Iterable[Solid]) -> None:
        """Add a group's parts; what rides on a leaf becomes the leaf's child."""
        top = self._node(group, 0)
        leaves: dict[str, int] = {}
        for part in parts:
            under = leaves[part.rides] if part.rides else top
            node = self._node(part.name, under)
            self._gltf.nodes[node].mesh = self._mesh(part)
            self._gltf.nodes[node].extras = {"kind": part.kind, "group": part.group}
            if part.travel and not part.rides:
                leaves[part.name] = node
                self._moving.append((node, part.travel))

    def whole(self) -> bytes:
        """The whole file."""
        g = self._g
        if self._moving:
            self._gltf.animations.append(self._slide())
        self._gltf.buffers.append(g.Buffer(byteLength=len(self._data)))
        self._gltf.set_binary_blob(bytes(self._data))
        chunks: list[bytes] = self._gltf.save_to_bytes()
        return b"".join(chunks)

    def _node(self, name: str, under: int) -> int:
        self._gltf.nodes.append(self._g.Node(name=name, children=[]))
        node = len(self._gltf.nodes) - 1
        self._gltf.nodes[under].children.append(node)
        return node

    def _mesh(self, part: Solid) -> int:
        g = self._g
        corners = [corner for block in part.blocks for corner in _corners(block)]
        normals = [normal for at in range(0, len(corners), 4) for normal in _normal(corners, at)]
        order = [i for at in range(0, len(corners), 4) for i in _triangles(at)]
        fitting = g.UNSIGNED_SHORT if len(corners) < 65536 else g.UNSIGNED_INT
        primitive = g.Primitive(
            attributes=g.Attributes(
                POSITION=self._vectors(corners, g.ARRAY_BUFFER),
                NORMAL=self._vectors(normals, g.ARRAY_BUFFER),
            ),
            indices=self._accessor(
                struct.pack(f"<{len(order)}{'H' if fitting == g.UNSIGNED_SHORT else 'I'}", *order),
                g.ELEMENT_ARRAY_BUFFER, fitting, g.SCALAR, len(order),
            ),
            material=self._material(part),
        )  # fmt: skip
        self._gltf.meshes.append(g.Mesh(name=part.name, primitives=[primitive]))
        return len(self._gltf.meshes) - 1

    def _material(self, part: Solid) -> int:
        """One for each kind; each lining has its own, for viewers that hide by material."""
        name = part.name if part.kind == "lining" else part.kind
        if name not in self._materials:
            g, clear = self._g, part.kind == "lining"
            red, green, blue = (_linear(c) for c in COLOURS[part.kind])
            self._gltf.materials.append(
                g.Material(
                    name=name,
                    pbrMetallicRoughness=g.PbrMetallicRoughness(
                        baseColorFactor=[red, green, blue, SEEN_THROUGH if clear else 1.0],
                        metallicFactor=0.0,
                        roughnessFactor=0.5 if part.kind == "metal" else 0.9,
                    ),
                    alphaMode=g.BLEND if clear else g.OPAQUE,
                    alphaCutoff=None,
                    doubleSided=clear,
                )
            )
            self._materials[name] = len(self._gltf.materials) - 1
        return self._materials[name]

    def _slide(self) -> Any:
        g = self._g
        times = (0.0, OPENING_SECONDS, 2 * OPENING_SECONDS)
        when = self._accessor(
            struct.pack("<3f", *times), None, g.FLOAT, g.SCALAR, 3, ([times[0]], [times[-1]])
        )
        samplers, channels = [], []
        for number, (node, travel) in enumerate(self._moving):
            places = [(0.0, 0.0, 0.0), (travel / 1000, 0.0, 0.0), (0.0, 0.0, 0.0)]
            samplers.append(
                g.AnimationSampler(
                    input=when, output=self._vectors(places, None), interpolation="LINEAR"
                )
            )
            channels.append(
                g.AnimationChannel(
                    sampler=number, target=g.AnimationChannelTarget(node=node, path="translation")
                )
            )
        return g.Animation(name=SLIDE, samplers=samplers, channels=channels)  # fmt: skip

    def _vectors(self, vectors: Sequence[Vector], target: int | None) -> int:
        # What a file says its bounds are must be what it holds: singles, not doubles.
        packed = struct.pack(f"<{3 * len(vectors)}f", *(v for vector in vectors for v in vector))
        held = struct.unpack(f"<{3 * len(vectors)}f", packed)
        low = [min(held[axis::3]) for axis in range(3)]
        high = [max(held[axis::3]) for axis in range(3)]
        g = self._g
        return self._accessor(packed, target, g.FLOAT, g.VEC3, len(vectors), (low, high))

    def _accessor(
        self,
        data: bytes,
        target: int | None,
        component: int,
        kind: str,
        count: int,
        bounds: tuple[list[float], list[float]] | None = None,
    ) -> int:
        g = self._g
        self._gltf.bufferViews.append(
            g.BufferView(buffer=0, byteOffset=len(self._data), byteLength=len(data), target=target)
        )
        self._data += data + b"\0" * (-len(data) % 4)
        low, high = bounds or (None, None)
        self._gltf.accessors.append(
            g.Accessor(
                bufferView=len(self._gltf.bufferViews) - 1,
                componentType=component, count=count, type=kind, min=low, max=high,
            )
        )  # fmt: skip
        return len(self._gltf.accessors) - 1


def _corners(block: Block) -> Iterable[Vector]:
    """Four corners of each of six faces, in metres, y up."""
    for face in _FACES:
        for x, y, z in face:
            up = (block.top if z else block.bottom)[x]
            along = block.x1 if x else block.x0
            through = block.y1 if y else block.y0
            yield along / 1000, up / 1000, -through / 1000


def _normal(corners: Sequence[Vector], at: int) -> tuple[Vector, Vector, Vector, Vector]:
    a, b, d = corners[at], corners[at + 1], corners[at + 3]
    u, v = ([q - p for p, q in zip(a, end, strict=True)] for end in (b, d))
    cross = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    size = sum(c * c for c in cross) ** 0.5
    one = (cross[0] / size, cross[1] / size, cross[2] / size)
    return (one, one, one, one)


def _triangles(at: int) -> tuple[int, ...]:
    return (at, at + 1, at + 2, at, at + 2, at + 3)


def _linear(value: int) -> float:
    """A channel of sRGB (0 to 255) as linear light 0 to 1 (IEC 61966-2-1)."""
    share = value / 255
    return round(share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4, 6)
