"""Every view opens clean as DXF and keeps its dimensions."""

from __future__ import annotations

import io

import ezdxf
import pytest

from truehang.drawing.dxf import dxf
from truehang.drawing.scene import Dimension, Scene


def test_every_view_passes_the_audit_with_its_dimensions(
    views: dict[str, dict[str, Scene]],
) -> None:
    for case, key in (
        ("archway", "elevation-a"),
        ("archway", "leaf-1"),
        ("bathroom", "elevation-b"),
        ("bathroom", "plan-section"),
        ("archway, feet and inches", "section-foot"),
    ):
        scene = views[case][key]
        document = ezdxf.read(io.StringIO(dxf(scene).decode("utf-8")))
        audit = document.audit()
        assert (audit.errors, audit.fixes) == ([], []), (case, key)
        wanted = [i.measured for i in scene.items if isinstance(i, Dimension)]
        found = document.modelspace().query("DIMENSION")
        assert [e.get_measurement() for e in found] == pytest.approx(wanted), (case, key)
