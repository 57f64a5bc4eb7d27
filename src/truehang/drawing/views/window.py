"""Which stretch of the wall does a drawing show? Lines are cut off at its edges."""

from __future__ import annotations

from dataclasses import dataclass

from truehang.drawing.draft import Draft
from truehang.drawing.scene import Box, HatchKind, Layer

RIM = 0.01


@dataclass(frozen=True, slots=True)
class Window:
    """The stretch of world that is shown."""

    x0: float = -1e9
    y0: float = -1e9
    x1: float = 1e9
    y1: float = 1e9

    def rectangle(
        self,
        draft: Draft,
        layer: Layer,
        box: Box,
        hatch: HatchKind | None = None,
        part: str = "",
    ) -> None:
        """A rectangle cut to the window: an edge that was cut off isn't drawn."""
        x0, y0 = max(box[0], self.x0), max(box[1], self.y0)
        x1, y1 = min(box[2], self.x1), min(box[3], self.y1)
        if x1 - x0 < RIM or y1 - y0 < RIM:
            return
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        whole = (x0, y0, x1, y1) == box
        if whole:
            draft.polygon(layer, corners, hatch, part)
            return
        if hatch:
            draft.polygon(Layer.HATCH, corners, hatch, part, edge=False)
        kept = (y0 == box[1], x1 == box[2], y1 == box[3], x0 == box[0])
        for index, keep in enumerate(kept):
            if keep:
                draft.line(layer, corners[index], corners[(index + 1) % 4], part)

    def timber(self, draft: Draft, layer: Layer, box: Box, part: str) -> None:
        """A cut piece of timber: outline and the cross of a cut end."""
        self.rectangle(draft, layer, box, part=part)
        x0, y0, x1, y1 = box
        if self.holds(x0, y0) and self.holds(x1, y1):
            draft.line(Layer.HATCH, (x0, y0), (x1, y1), part)
            draft.line(Layer.HATCH, (x0, y1), (x1, y0), part)

    def holds(self, x: float, y: float) -> bool:
        """Is the point in the window?"""
        return self.x0 <= x <= self.x1 and self.y0 <= y <= self.y1
