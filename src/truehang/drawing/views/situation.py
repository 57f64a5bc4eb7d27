"""What does each situation look like? A small schematic elevation, not to scale."""

from __future__ import annotations

from dataclasses import dataclass

from truehang.drawing.draft import Draft
from truehang.drawing.scene import Layer, Scene
from truehang.drawing.sheet import Sheet

SCALE = 60.0
"""Big enough for the words; what is drawn has no sizes of its own."""
RUN, HIGH, OPEN_HIGH = 4200.0, 2650.0, 2050.0
STUD, SPACING, HEAD = 60.0, 450.0, 100.0


@dataclass(frozen=True, slots=True)
class _Shape:
    """Where things stand along the run: the way through, pockets, the old opening, new framing."""

    clear: tuple[float, float]
    pockets: tuple[tuple[float, float], ...]
    old: tuple[float, float] | None = None
    cut: tuple[float, float] | None = None
    """The rough opening that the wall is cut for; None where it is not cut."""
    new_wall: bool = False
    hinged: bool = False


_SHAPES = {
    "fill-opening": _Shape((1400.0, 2800.0), ((650.0, 1400.0), (2800.0, 3550.0)), (650.0, 3550.0)),
    "beside-opening": _Shape(
        (700.0, 1650.0), ((1650.0, 2650.0),), (700.0, 1650.0), (640.0, 2710.0), hinged=True
    ),
    "new-opening": _Shape((1050.0, 2050.0), ((2050.0, 3100.0),), cut=(990.0, 3160.0)),
    "new-wall": _Shape((1050.0, 2050.0), ((2050.0, 3100.0),), cut=(990.0, 3160.0), new_wall=True),
}


def situation_picture(key: str, title: str, sheet: Sheet) -> Scene:
    """The wall of one situation: there already thin, new heavy, pockets dashed, the old opening
    dash-dotted. Raises KeyError for a key that is none."""
    shape, draft = _SHAPES[key], Draft(SCALE)
    draft.line(Layer.FLOOR, (-150.0, 0.0), (RUN + 150.0, 0.0), "floor")
    wall = Layer.MARKED if shape.new_wall else Layer.FAINT
    draft.polygon(wall, _box((0.0, RUN), 0.0, HIGH), part="wall")
    hole = shape.cut or shape.old or shape.clear
    studs = Layer.OUTLINE if shape.new_wall else Layer.FAINT
    for x in _studs(hole):
        draft.polygon(studs, _box((x, x + STUD), 0.0, HIGH), part="studs")
    if shape.old is not None:
        draft.polygon(Layer.OLD, _box(shape.old, 0.0, OPEN_HIGH + 60.0), part="old-opening")
        over = OPEN_HIGH + 60.0 + (HEAD if shape.cut else 0.0)
        middle = sum(shape.old) / 2
        room = (shape.old[0] - 600.0, over + 40.0, shape.old[1] + 600.0, HIGH - 40.0)
        draft.label(sheet.word("old opening"), (middle, over + 150.0), room)
    if shape.hinged and shape.old is not None:
        _hinged(draft, shape.old)
    if shape.cut is not None:
        head = _box(shape.cut, OPEN_HIGH + 60.0, OPEN_HIGH + 60.0 + HEAD)
        draft.polygon(Layer.OUTLINE, head, "diagonal", part="head")
        for x in shape.cut:
            edge = (x - STUD, x) if x == shape.cut[0] else (x, x + STUD)
            draft.polygon(Layer.OUTLINE, _box(edge, 0.0, OPEN_HIGH + 60.0), part="jamb")
    for pocket in shape.pockets:
        draft.polygon(Layer.HIDDEN, _box(pocket, 0.0, OPEN_HIGH), part="pockets")
        draft.label(sheet.word("pocket"), _middle(pocket), _box_of(pocket))
    leaves = _leaves(shape)
    for leaf in leaves:
        draft.polygon(Layer.LEAF, _box(leaf, 20.0, OPEN_HIGH - 20.0), part="leaves")
        draft.label(sheet.word("leaf"), _middle(leaf), _box_of(leaf))
        _arrow(draft, leaf, shape)
    return draft.close(f"situation-{key}", title, headed=False, to_scale=False)


def _box(x: tuple[float, float], z0: float, z1: float) -> tuple[tuple[float, float], ...]:
    return ((x[0], z0), (x[1], z0), (x[1], z1), (x[0], z1))


def _box_of(x: tuple[float, float]) -> tuple[float, float, float, float]:
    """Where a word may stand inside: over the arrow."""
    return (x[0] + 30.0, 1000.0, x[1] - 30.0, OPEN_HIGH - 200.0)


def _middle(x: tuple[float, float]) -> tuple[float, float]:
    return ((x[0] + x[1]) / 2, 1200.0)


def _studs(hole: tuple[float, float]) -> list[float]:
    """Studs beside the hole; what stood inside it is out."""
    every = [n * SPACING for n in range(int(RUN // SPACING))] + [RUN - STUD]
    return [x for x in every if x + STUD < hole[0] - 2 * STUD or x > hole[1] + 2 * STUD]


def _leaves(shape: _Shape) -> list[tuple[float, float]]:
    if len(shape.pockets) == 1:
        return [shape.clear]
    middle = sum(shape.clear) / 2
    return [(shape.clear[0], middle), (middle, shape.clear[1])]


def _arrow(draft: Draft, leaf: tuple[float, float], shape: _Shape) -> None:
    """Which way the leaf goes, into the pocket next to it."""
    right = any(abs(leaf[1] - pocket[0]) < 1.0 for pocket in shape.pockets)
    start = (leaf[0] + leaf[1]) / 2
    end = leaf[1] + 330.0 if right else leaf[0] - 330.0
    back = -110.0 if right else 110.0
    z = 600.0
    draft.line(Layer.OUTLINE, (start, z), (end, z), "arrow")
    for up in (70.0, -70.0):
        draft.line(Layer.OUTLINE, (end, z), (end + back, z + up), "arrow")


def _hinged(draft: Draft, old: tuple[float, float]) -> None:
    """The lines that a hinged door is shown by: from its hinges to the middle of its lock side."""
    low, high = (old[0], 0.0), (old[0], OPEN_HIGH)
    for corner in (low, high):
        draft.line(Layer.OLD, corner, (old[1], OPEN_HIGH / 2), "old-door")
