"""Arrangements that the drawing tests share, made by the fit room. All data here is invented."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from truehang.catalogue.kits import kits
from truehang.catalogue.leaves import leaves
from truehang.drawing.scene import Point, Scene
from truehang.drawing.sheet import Sheet
from truehang.drawing.views.elevation import elevation
from truehang.drawing.views.leaf import leaf_orders
from truehang.drawing.views.picture import picture
from truehang.drawing.views.sections import (
    plan_details,
    plan_section,
    vertical_details,
    vertical_section,
)
from truehang.drawing.views.setout import frame_set_out, packers
from truehang.drawing.views.site import Site
from truehang.drawing.views.zones import Zone, no_go
from truehang.fit import (
    Arrangement,
    FitRequest,
    Floor,
    Service,
    Span,
    WallMakeup,
    Wishes,
    arrange,
    options,
)
from truehang.framing import Ground, HeadIn, OpeningSetOut, StudIn, opening_members
from truehang.members import Member
from truehang.plan.frame import frame_of

OUTLET = Service("double outlet", "outlet", 700.0, 300.0, "A")
SWITCH = Service("light switch", "switch", 3400.0, 1050.0, "B")


@dataclass(frozen=True)
class Case:
    """An arrangement with what stands around it."""

    name: str
    made: Arrangement
    site: Site
    sheet: Sheet = field(default_factory=Sheet)


def _made(**given: object) -> tuple[FitRequest, Arrangement]:
    request = FitRequest(**given)  # type: ignore[arg-type]
    found = options(request, kits(), leaves())
    return request, arrange(request, found.options[0], kits(), leaves())


def _case(name: str, outline: tuple[Point, ...] = (), style: str = "mm", **given: object) -> Case:
    request, made = _made(**given)
    floor = tuple(zip(request.floor.x, request.floor.z, strict=True))
    site = Site(floor, outline, request.services, _framed(request, made))
    return Case(name, made, site, Sheet(style))  # type: ignore[arg-type]


def _framed(request: FitRequest, made: Arrangement) -> tuple[Member, ...]:
    """The frame, and the studs and head about it, set out by hand."""
    y = Span(made.wall.lining_a, made.wall.lining_a + made.wall.stud)
    about = OpeningSetOut(
        situation=made.situation, rough=made.rough, frame=made.frame,
        frame_top=made.heights.head_top, room=request.space, y=y,
        ground=Ground(tuple(zip(request.floor.x, request.floor.z, strict=True))),
        rough_head=made.heights.rough_head, limit=request.head_limit, ceiling=2520.0, plate=45.0,
        head=HeadIn("45x90", 2, 45.0, 90.0, 0, False), stud=StudIn("45x90", 45.0, 90.0, 450.0),
        there=None, hung_there=False, packed=None, infill=made.infill,
    )  # fmt: skip
    return (*opening_members(about), *frame_of(made))


def _cases() -> tuple[Case, ...]:
    archway = {
        "situation": "fill",
        "space": Span(300.0, 3760.0),
        "head_limit": 2515.0,
        "wall": WallMakeup(90.0, 10.0, 10.0),
        "floor": Floor((0.0, 1200.0, 2400.0, 4200.0), (2.0, -1.0, -3.5, -6.5)),
        "services": (OUTLET, SWITCH),
        "wishes": Wishes(arrangements=("pair",)),
    }
    outline = (
        (300.0, 1.5),
        (2000.0, -2.0),
        (3760.0, -6.0),
        (3757.0, 1250.0),
        (3755.0, 2516.0),
        (2030.0, 2518.0),
        (302.0, 2519.0),
        (298.0, 1260.0),
    )
    bathroom = {
        "situation": "new",
        "space": Span(100.0, 2400.0),
        "head_limit": 2500.0,
        "wall": WallMakeup(90.0, 10.0, 10.0),
        "floor": Floor((0.0, 2600.0), (0.0, 6.0)),
        "services": (Service("cold pipe", "pipe", 1500.0, 600.0, "A", 20.0, 900.0),),
        "wishes": Wishes(clear_width=820.0, arrangements=("single-right",)),
    }
    return (
        _case("archway", outline, **archway),
        _case("archway, feet and inches", outline, "feet-inches", **archway),
        _case("narrow pair", **{**archway, "space": Span(1000.0, 3400.0)}),
        _case("bathroom", **bathroom),
        _case(
            "hall",
            **{
                **bathroom,
                "space": Span(0.0, 5200.0),
                "services": (OUTLET, SWITCH),
                "wishes": Wishes(clear_width=870.0, arrangements=("single-left",)),
            },
        ),
    )


@pytest.fixture(scope="session")
def cases() -> tuple[Case, ...]:
    """Five arrangements: pairs and singles, both hands, both ways of printing lengths."""
    return _cases()


@pytest.fixture(scope="session")
def archway(cases: tuple[Case, ...]) -> Case:
    """A pair that fills an old archway."""
    return cases[0]


def _views_of(case: Case) -> tuple[Scene, ...]:
    """Every drawing of the wall that a case has."""
    made, sheet, site = case.made, case.sheet, case.site
    inside = [pocket.inside for pocket in made.pockets]
    heights = made.heights
    zones = [
        Zone("pocket", one.low, heights.frame_bottom, one.high, heights.head_underside, 25.0, face)
        for one in inside
        for face in ("A", "B")
    ]
    return (
        elevation(made, sheet, side="A", site=site),
        elevation(made, sheet, side="B", site=site),
        plan_section(made, sheet, site=site, zones=zones),
        *plan_details(made, sheet, site=site, zones=zones),
        vertical_section(made, sheet, site=site, zones=zones),
        *vertical_details(made, sheet, site=site, zones=zones),
        frame_set_out(made, sheet, site=site),
        packers(made, sheet, site=site),
        *leaf_orders(made, sheet),
        no_go(made, sheet, zones[::2], side="A", site=site),
        no_go(made, sheet, zones[1::2], side="B", site=site),
        picture(
            made,
            sheet,
            "elevation-a",
            ("leaves", "handle", "services"),
            key="step-hang",
            title="Hang the leaves",
            site=site,
        ),
        picture(
            made,
            sheet,
            "plan-section",
            ("leaves",),
            key="step-stop",
            title="Set the stops",
            site=site,
        ),
        picture(
            made,
            sheet,
            "vertical-section",
            ("head",),
            key="step-head",
            title="Fix the head",
            site=site,
        ),
        picture(
            made,
            sheet,
            "frame-set-out",
            ("frame", "packers"),
            key="step-frame",
            title="Stand the frame",
            site=site,
        ),
    )


@pytest.fixture(scope="session")
def views(cases: tuple[Case, ...]) -> dict[str, dict[str, Scene]]:
    """Every drawing of every case: by the case's name, then by key."""
    return {case.name: {scene.key: scene for scene in _views_of(case)} for case in cases}


@pytest.fixture(scope="session")
def all_views(views: dict[str, dict[str, Scene]]) -> tuple[tuple[str, Scene], ...]:
    """Every drawing of every case, with a name."""
    return tuple(
        (f"{name}: {key}", scene) for name, found in views.items() for key, scene in found.items()
    )
