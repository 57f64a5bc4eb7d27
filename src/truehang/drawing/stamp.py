"""How does a drawing say that it is a draft? In bold under it, on as many lines as it takes."""

from __future__ import annotations

from dataclasses import replace

from truehang.drawing import metrics
from truehang.drawing.scene import Scene, Text
from truehang.drawing.sheet import Sheet

HEIGHT = 2.5
"""Of capitals on paper, mm."""
PITCH = 4.2
ROOM = 13.0
"""Paper (mm) that is kept free for it: three lines."""


def room_for(sheet: Sheet, text: str) -> Sheet:
    """The same sheet with room left under the drawing for what is stamped on it."""
    if not text:
        return sheet
    # What lies on its side is wide, for a narrow drawing stands: the text takes fewer lines there.
    across = len(_lines(text, sheet.landscape[0] * 2 / 3)) * PITCH + 0.8
    # Twice on an upright page, which two drawings may share.
    return replace(
        sheet,
        landscape=(sheet.landscape[0], sheet.landscape[1] - min(across, ROOM)),
        portrait=(sheet.portrait[0], sheet.portrait[1] - 2 * ROOM),
    )


def stamped(scene: Scene, text: str) -> Scene:
    """The drawing with this text under it; itself where there is none to stamp."""
    if not text:
        return scene
    lines = _lines(text, scene.paper[0] - 2.0)
    x, top = scene.low[0] + scene.scale, scene.low[1]
    items = tuple(
        Text(
            (x, top - (number * PITCH + 0.8) * scene.scale),
            line, HEIGHT, upright="top", bold=True,
        )
        for number, line in enumerate(lines)
    )  # fmt: skip
    low = (scene.low[0], top - (len(lines) * PITCH + 0.8) * scene.scale)
    return replace(scene, items=(*scene.items, *items), low=low)


def _lines(text: str, room: float) -> list[str]:
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and metrics.width(longer, HEIGHT, True) > room:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
