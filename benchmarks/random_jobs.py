"""Which jobs may anyone hand in? Invented job files of every kind that the format allows.

`job_values` makes the keys and values of one job file from a source of chance. They are always
valid, but seldom sensible: sizes from cupboard to hall, readings that slip or are missing,
wishes that can't be met, evidence that contradicts itself. The same seed gives the same job.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from random import Random
from typing import Any, TypeVar, get_args

from truehang import catalogue
from truehang.catalogue import Catalogue
from truehang.job import Job, models

T = TypeVar("T")
Values = dict[str, Any]

CATALOGUE: Catalogue = catalogue.load()
SERVICES: tuple[str, ...] = get_args(models.ServiceKind)
OBSTACLES = ("return-wall", "window", "door", "cupboard", "beam", "column", "stair", "other")
DAY = "2026-03-02"


def random_job(seed: int) -> Job:
    """The invented job of this number."""
    return Job.model_validate(job_values(Random(seed)))


def job_values(chance: Random) -> Values:
    """The keys and values of one job file, as they would be read from YAML."""
    return JobMaker(chance).values()


def off(chance: Random, sigma: float) -> float:
    """An error with this standard deviation, never over three times it."""
    return sigma * sum(chance.uniform(-1, 1) for _ in range(3))


class JobMaker:
    """Draws one job, section by section; later sections keep to what earlier ones said."""

    def __init__(self, chance: Random) -> None:
        self.chance = chance
        self.run = self.length(500, 12000, often=(2400, 7000))
        self.ceiling = self.length(1500, 8000, often=(2350, 3200))

    # ------------------------------------------------------------ one value

    def likely(self, share: float) -> bool:
        return self.chance.random() < share

    def one(self, choices: Sequence[T]) -> T:
        return self.chance.choice(choices)

    def maybe(self, share: float, make: Callable[[], T]) -> T | None:
        return make() if self.likely(share) else None

    def some(self, most: int, make: Callable[[int], T]) -> list[T]:
        return [make(number) for number in range(1, self.chance.randint(0, most) + 1)]

    def length(self, low: float, high: float, *, often: tuple[float, float] | None = None) -> float:
        """A length (mm) to the half millimetre; below 20 whole, so that no unit is asked about."""
        if often is not None and self.likely(0.85):
            low, high = often
        value = round(2 * self.chance.uniform(low, high)) / 2
        return value if abs(value) >= 20 else float(round(value))

    def along(self) -> float:
        return self.length(0, self.run)

    def unsure(self) -> bool | None:
        return self.one((True, False, None))

    # ------------------------------------------------------------ the sections

    def values(self) -> Values:
        made: Values = {
            "truehang": 1,
            "job": self.about(),
            "wall": self.wall(),
            "measure": self.measure(),
            "floor": self.floor(),
            "wishes": self.wishes(),
            "prices": self.prices(),
            "site": self.site(),
            "offcuts": self.some(3, self.offcut),
        }
        if self.likely(0.6):
            made["sound"] = self.sound()
        if self.likely(0.3):
            made["packers"] = [self.one((0.5, 1, 1.5, 2, 3, 4, 5, 6, 10, 20)) for _ in range(3)]
        return _given(made)

    def about(self) -> Values:
        return {
            "name": f"invented-{self.chance.randint(1, 9999)}",
            "title": "An invented job",
            "issued": DAY,
            "revision": self.chance.randint(1, 40),
            "region": self.one([region.id for region in CATALOGUE.regions]),
            "print": self.one(("mm", "feet-inches", None)),
            "seed": self.chance.randint(0, 2**31 - 1),
            "invented": True,
        }

    def layer(self) -> Values:
        usual = {"material": "plasterboard", "thickness": self.one((10, 12.5, 13, 16))}
        if self.likely(0.7):
            return usual
        material = self.one(CATALOGUE.materials).key
        return {"material": material, "thickness": self.length(1, 60, often=(6, 25))}

    def layers(self) -> list[Values]:
        return [self.layer() for _ in range(self.one((1, 1, 1, 2, 3)))]

    def wall(self) -> Values:
        self.situation = self.one(
            ("fill-opening", "fill-opening", "beside-opening", "new-opening", "new-wall")
        )
        self.stud = self.one((70, 90, 90, 90, 92, 92, 140, self.length(35, 240)))
        face_a, face_b = self.layers(), self.layers()
        self.thickness = self.stud + sum(layer["thickness"] for layer in (*face_a, *face_b))
        studs = {
            "material": self.one(("pine", "hardwood", "steel")),
            "width": self.one((35, 38, 45, self.length(30, 90))),
            "depth": self.stud,
            "spacing": self.one((300, 406, 450, 600, self.length(150, 1200))),
            "grade": self.one(("MGP10", "C24", None)),
        }
        fill = {
            "material": self.one(("glass-wool", "mineral-wool", "polyester")),
            "thickness": self.length(20, self.stud),
        }
        return {
            "situation": self.situation,
            "datum": "left end of the run",
            "run": self.run,
            "ceiling": self.ceiling,
            "make_up": {
                "face_a": face_a,
                "studs": studs,
                "face_b": face_b,
                "fill": self.one((fill, None)),
            },
            "built": self.maybe(0.5, lambda: self.chance.randint(1850, 2025)),
            "services": self.some(4, self.service),
            "obstacles": self.some(2, self.obstacle) if self.likely(0.5) else [],
            "fire_rated": self.unsure(),
            "acoustic_rated": self.unsure(),
            "escape_route": self.unsure(),
            "over": self.over(),
            "evidence": self.evidence(),
            "old": {
                "read": self.one(("studs", "linings", None)),
                "lining": self.one((None, self.length(12, 40))),
            },
            "framing": self.framing() if self.likely(0.4) else {},
        }

    def framing(self) -> Values:
        """Studs that were found about every spacing, a noggin or two and perhaps a plate."""
        usual, found, x = self.length(30, 60), list[Values](), self.length(0, 400)
        while x + usual < self.run and len(found) < 40:
            found.append({
                "id": f"stud-{len(found)}", "x": x, "width": self.one((None, usual)),
                "sure": self.likely(0.6), "stays": self.likely(0.05),
                "to_z": self.one((None, None, self.length(1500, self.ceiling))),
            })  # fmt: skip
            x += usual + self.length(100, 600)
        ends = [(a["x"] + usual, b["x"] - usual) for a, b in pairwise(found)]
        nogs = [
            {"id": f"nog-{n}", "from_x": a, "to_x": b, "z": self.length(300, 2200)}
            for n, (a, b) in enumerate(ends[:2])
            if b - a > 20
        ]
        plates = [{"at": self.one(("top", "bottom")), "depth": self.length(35, 95)}]
        return {"studs": found, "nogs": nogs, "plates": self.one(((), plates))}

    def service(self, number: int) -> Values:
        return {
            "id": f"service-{number}",
            "kind": self.one(SERVICES),
            "x": self.along(),
            "z": self.length(0, self.ceiling),
            "face": self.one(("A", "B", "inside")),
            "width": self.length(20, 600, often=(60, 120)),
            "height": self.length(20, 2400, often=(60, 120)),
            "runs": self.one(("up", "down", "left", "right", "none", "unknown")),
        }

    def obstacle(self, number: int) -> Values:
        low = self.length(0, self.run - 40)
        foot = self.one((0, self.length(0, 2500)))
        return {
            "id": f"obstacle-{number}",
            "kind": self.one(OBSTACLES),
            "from_x": low,
            "to_x": low + self.length(20, 1500),
            "from_z": foot,
            "to_z": foot + self.length(50, 3000),
            "face": self.one(("A", "B", "both")),
        }

    def evidence(self) -> Values:
        opened = {
            "who": "builder",
            "when": DAY,
            "photo": "opened.jpg",
            "finding": self.one(("carries-nothing", "carries-load")),
        }
        return {
            "joists": self.one(("along", "across", "unknown")),
            "joint_over": self.unsure(),
            "wall_over": self.unsure(),
            "wall_under": self.unsure(),
            "roof": self.one(("trussed", "propped", "cut", "none-above", "unknown")),
            "lintel": self.unsure(),
            "loads": self.some(3, self.load) if self.likely(0.5) else [],
            "wall_load": self.one((0, 0, round(self.chance.uniform(0.1, 40), 1))),
            "opened_up": self.one((opened, None, None)),
            "engineer": {"who": "engineer", "when": DAY, "document": "S-1"}
            if self.likely(0.15)
            else None,
        }

    def over(self) -> Values:
        """What is over the opening: often nothing said, sometimes all of it."""
        if self.likely(0.4):
            return {}
        return {
            "kind": self.one(("head", "lintel", "beam", "steel", "nothing", "unknown")),
            "depth": self.maybe(0.6, lambda: self.length(70, 300)),
            "breadth": self.maybe(0.6, lambda: self.length(35, 140)),
            "grade": self.one(("MGP10", "C24", None, "none that is known")),
            "inertia": self.maybe(0.4, lambda: round(self.chance.uniform(20, 5000), 1)),
            "underside": [
                {"x": x, "z": max(self.ceiling - self.length(60, 400), 1500.0)}
                for x in (round(self.run / 4), round(self.run / 2), round(3 * self.run / 4))
            ]
            if self.likely(0.4)
            else [],
        }

    def load(self, number: int) -> Values:
        return {
            "id": f"load-{number}",
            "kind": self.one(("floor", "storage", "roof", "snow")),
            "tributary": self.length(0, 9000, often=(900, 4000)),
            "dead": round(self.chance.uniform(0, 3), 2),
            "live": round(self.chance.uniform(0, 5), 2),
        }

    # ------------------------------------------------------------ readings

    def measure(self) -> Values:
        self.number = 0
        old = self.situation in ("fill-opening", "beside-opening")
        readings = self.opening() if old or self.likely(0.1) else []
        readings += self.beside()
        own = {"old-tape": {"sigma": 2.5}, "tape": {"sigma": round(self.chance.uniform(0.3, 4), 1)}}
        if self.likely(0.1):
            readings = []
        return {"taken": DAY, "instruments": self.one((own, {})), "readings": readings}

    def opening(self) -> list[Values]:
        """Readings of one leaning, bowed opening; some missing, some taken again, one may slip."""
        width = min(self.length(300, 11000, often=(1600, 5000)), max(self.run - 50, 300))
        height = min(
            self.length(300, 7500, often=(2150, 2700)), max(self.ceiling - 20, 300), 5900.0
        )
        shape = _Shape(self.chance, self.length(0, max(self.run - width, 0)), width, height)
        found = [self.reading(kind, at, value) for (kind, at), value in shape.sides().items()]
        longest = max(value for side in found for value in (side["value"], *side["again"]))
        for at, value in shape.diagonals().items():
            one = self.reading("diagonal", at, value)
            if min((one["value"], *one["again"])) > longest + 1:
                found.append(one)
        mistaken = self.likely(0.1)
        found += [self.small(shape, *what, mistaken) for what in _SMALL]
        for corner, (x, _) in shape.corners.items():
            found.append(self.reading("mark", corner, max(x, 0.0)))
        ends = {"left": shape.left_end(), "right": self.run - shape.right_end()}
        found += [self.reading("clear", end, max(value, 0.0)) for end, value in ends.items()]
        keep = self.one((1.0, 1.0, 0.8, 0.5, 0.2))
        found = [reading for reading in found if self.likely(keep)]
        if found and self.likely(0.3):
            self.slip(self.one(found))
        return found

    def reading(self, kind: str, at: str, value: float) -> Values:
        self.number += 1
        low, high = (0, 30000) if kind == "clear" else (0 if kind == "mark" else 300, 12000)

        def take() -> float:
            read = min(max(value + off(self.chance, 1.5), low), high)
            return float(round(read))

        return {
            "id": f"reading-{self.number}",
            "kind": kind,
            "at": at,
            "value": take(),
            "again": [take() for _ in range(self.one((0, 0, 0, 0, 1, 3)))],
            "instrument": self.one(("tape", "tape", "laser-distance")),
            "sigma": self.one((None, None, None, 0.5, 20)),
        }

    def slip(self, reading: Values) -> None:
        """Misread by a little; a side only shorter and a diagonal only longer, so that the
        diagonals stay the longest, as the format asks."""
        slip = self.one((5, 10, 20, 50))
        if reading["kind"] in ("width", "height"):
            reading["value"] = max(reading["value"] - slip, 300)
        elif reading["kind"] in ("plumb", "level", "bow"):
            reading["value"] = min(reading["value"] + slip, 200)
        else:
            reading["value"] += slip

    def small(self, shape: _Shape, kind: str, at: str, mistaken: bool) -> Values:
        """Plumb, level or bow; `mistaken` reads them as if they had nothing to do with the rest."""
        self.number += 1
        made: Values = {"id": f"reading-{self.number}", "kind": kind, "at": at}
        if kind == "plumb":
            made |= {"over": self.one((600, 1200, 2000)), "lower_end": self.one((0, 0, 500))}
        elif kind == "level" and self.likely(0.5):
            made["over"] = self.one((600, 1200, 2000))
        value = off(self.chance, 12) if mistaken else shape.small(kind, at, made.get("over"))
        value += off(self.chance, 0.5)
        return made | {"value": max(min(round(value, 1), 200), -200)}

    def beside(self) -> list[Values]:
        """Readings of the run, the ceiling, and the wall beside the opening."""
        found = []

        def add(kind: str, value: float, **more: Any) -> None:
            self.number += 1
            found.append({"id": f"reading-{self.number}", "kind": kind, "value": value, **more})

        if self.likely(0.6):
            add("run", max(self.run + round(off(self.chance, 2)), 500))
        for _ in range(self.one((0, 1, 3, 5))):
            add(
                "ceiling", min(max(self.ceiling + self.length(-20, 20), 1500), 8000), x=self.along()
            )
        for _ in range(self.one((0, 1, 4))):
            value = self.thickness + round(self.chance.uniform(-4, 4), 1)
            add("thickness", min(max(value, 40), 700), x=self.along())
        for _ in range(self.one((0, 0, 3))):
            face, over = self.one(("A", "B")), self.one((1200, 2000))
            add("face", round(off(self.chance, 3), 1), face=face, x=self.along(), over=over)
        return found

    def floor(self) -> Values:
        fall = self.one((0.0, 1.0, 2.0, 10.0)) * self.chance.uniform(-1, 1) / 1000
        places = sorted({self.along() for _ in range(self.one((0, 1, 2, 6, 15)))})
        stations = [
            {"x": x, "z": max(min(round(fall * x + off(self.chance, 1), 1), 200), -200)}
            for x in places
        ]
        return {
            "stations": stations,
            "base": self.one(("concrete", "timber", "tiles", "unknown")),
            "to_come": self.one((0, 0, 0, 8, 14.5, 60)),
            "heated": self.likely(0.15),
        }

    # ------------------------------------------------------------ what is wanted

    def wishes(self) -> Values:
        places = ("none", *(seal.key for seal in CATALOGUE.seals))
        return {
            "head": self.one(("any", "any", "own", "existing")),
            "arrangement": self.one(("any", "any", "single-left", "single-right", "pair")),
            "clear_width": self.maybe(0.5, lambda: self.length(300, 6000, often=(600, 1100))),
            "clear_height": self.maybe(0.3, lambda: self.length(300, 5000, often=(1900, 2250))),
            "place": self.maybe(0.3, self.place),
            "kit": self.wanted([kit.id for kit in CATALOGUE.kits]),
            "leaf": {
                "construction": self.wanted([leaf.id for leaf in CATALOGUE.leaves]),
                "thickness": self.one((*5 * (None,), 35, 40, self.length(6, 60))),
                "glass": self.one((*4 * ("any",), "none", "part", "full")),
            },
            "accessible": self.one(
                ("none", "none", "region", *(rules.id for rules in CATALOGUE.access_rules))
            ),
            "soft_close": self.one(("any", "wanted", "none")),
            "lining": {
                "face_a": self.layers() if self.likely(0.3) else [],
                "face_b": self.layers() if self.likely(0.3) else [],
                "insulate": self.likely(0.4),
            },
            "seals": {
                where: self.one(places) for where in ("meeting", "jamb", "mouth", "head", "floor")
            },
            "handle": self.one(("flush", "edge-pull", "d-pull", "none")),
            "handle_height": self.maybe(0.3, lambda: self.length(300, 2200, often=(800, 1300))),
            "furniture": self.one(("passage", "privacy", "lock", "none")),
            "quiet": self.maybe(0.4, lambda: self.chance.randint(10, 70)),
            "trim": self.likely(0.8),
        }

    def wanted(self, known: Sequence[str]) -> str:
        if self.likely(0.75):
            return "any"
        return self.one((*known, "not-in-the-catalogue"))

    def place(self) -> Values:
        low = self.length(0, self.run - 40)
        high = min(low + self.length(20, self.run), self.run)
        return {
            "from_x": low,
            "to_x": high,
            "centre": self.maybe(0.5, self.along),
        }

    def sound(self) -> Values:
        loud, quiet = (
            [noise.key for noise in CATALOGUE.noises if noise.kind == kind]
            for kind in ("source", "background")
        )
        levels = [round(self.chance.uniform(-20, 90), 1) for _ in range(8)]
        return {
            "source": {"name": "one room", "volume": round(self.chance.uniform(1, 900), 1)},
            "receiving": {
                "name": "the other",
                "volume": round(self.chance.uniform(1, 900), 1),
                "background": self.one((self.one(quiet), levels)),
                "reverberation": round(self.chance.uniform(0.1, 4), 2),
            },
            "noise": self.one(loud),
            "area": round(self.chance.uniform(1, 60), 1),
        }

    def offcut(self, number: int) -> Values:
        return {
            "id": f"rack-{number}",
            "stock": self.one(("MGP10 45x90", "plasterboard-10")),
            "length": self.length(50, 3600),
            "width": self.maybe(0.3, lambda: self.length(50, 1350)),
            "count": self.chance.randint(1, 5),
        }

    def prices(self) -> Values:
        return {
            "labour_hour": self.maybe(0.5, lambda: self.chance.randint(0, 250)),
            "markup_percent": self.maybe(0.5, lambda: self.chance.randint(0, 300)),
            "deposit_percent": self.maybe(0.5, lambda: self.chance.randint(0, 100)),
            "items": {"solid-40": 410} if self.likely(0.2) else {},
        }

    def site(self) -> Values:
        return {
            "crew": self.chance.randint(1, 6),
            "helper": self.likely(0.5),
            "lift": self.chance.randint(1, 60),
            "longest": self.maybe(0.4, lambda: self.length(600, 6000)),
            "storey": self.chance.randint(-2, 30),
            "lift_shaft": self.likely(0.3),
            "travel": self.chance.randint(0, 200),
            "temperature": self.chance.randint(-10, 40),
            "humidity": self.chance.randint(5, 100),
            "occupied": self.likely(0.5),
        }


_SMALL = (
    ("plumb", "left"),
    ("plumb", "right"),
    ("level", "base"),
    ("level", "head"),
    ("bow", "left"),
    ("bow", "right"),
    ("bow", "head"),
    ("bow", "base"),
)


class _Shape:
    """A leaning opening with bowed sides, in mm from the datum."""

    def __init__(self, chance: Random, left: float, width: float, height: float) -> None:
        rough = chance.choice((1.0, 4.0, 15.0))

        def near(x: float, z: float) -> tuple[float, float]:
            return x + off(chance, rough), z + off(chance, rough)

        self.corners = {
            "bottom-left": near(left, 0),
            "bottom-right": near(left + width, 0),
            "top-right": near(left + width, height),
            "top-left": near(left, height),
        }
        self.bows = {side: off(chance, rough / 2) for side in ("left", "right", "head", "base")}

    def sides(self) -> dict[tuple[str, str], float]:
        bl, br, tr, tl = self.corners.values()
        across, up = self.bows["left"] + self.bows["right"], self.bows["head"] + self.bows["base"]
        return {
            ("width", "bottom"): _far(bl, br),
            ("width", "middle"): (_far(bl, br) + _far(tl, tr)) / 2 - across,
            ("width", "top"): _far(tl, tr),
            ("height", "left"): _far(bl, tl),
            ("height", "middle"): (_far(bl, tl) + _far(br, tr)) / 2 - up,
            ("height", "right"): _far(br, tr),
        }

    def diagonals(self) -> dict[str, float]:
        bl, br, tr, tl = self.corners.values()
        return {"rising": _far(bl, tr), "falling": _far(br, tl)}

    def left_end(self) -> float:
        return self.corners["bottom-left"][0]

    def right_end(self) -> float:
        return self.corners["bottom-right"][0]

    def small(self, kind: str, at: str, over: float | None) -> float:
        if kind == "bow":
            return self.bows[at]
        bl, br, tr, tl = self.corners.values()
        if kind == "plumb":
            foot, top = (bl, tl) if at == "left" else (br, tr)
            return (top[0] - foot[0]) / (top[1] - foot[1]) * (over or 0.0)
        start, end = (bl, br) if at == "base" else (tl, tr)
        whole = end[0] - start[0]
        return (end[1] - start[1]) / whole * (over or whole)


def _far(one: tuple[float, float], other: tuple[float, float]) -> float:
    return math.hypot(one[0] - other[0], one[1] - other[1])


def _given(values: Any) -> Any:
    """The same without what is None: in a file such a key is left out."""
    if isinstance(values, dict):
        return {key: _given(value) for key, value in values.items() if value is not None}
    return [_given(value) for value in values] if isinstance(values, list) else values
