"""In what order is this job built? Numbered steps with its numbers, pouch, caution and checks."""

from truehang.steps.order import Check, Number, Picture, Step, order

__all__ = ["Check", "Number", "Picture", "Step", "order"]
