"""How does the wall with its door reach a building model? IFC 4 (ISO 16739-1), in mm.

Project, site, building and storey; the wall with its opening; the sliding door that fills it,
leaves closed; studs, head and ribs as members; property sets with the job, its revision, the hash
and the sizes. What may change between two runs (ids, times) comes from the plan: same plan, same
bytes.

Needs the optional extra `ifc`. A plan never claims a wall's load-bearing state as a checked fact:
it is passed on in words.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING, Any

from truehang import __version__
from truehang.drawing.gltf import COLOURS
from truehang.drawing.solid import Kind, Solid, solids
from truehang.message import Message
from truehang.shapes import Block

if TYPE_CHECKING:
    from truehang.figures import Figure
    from truehang.fit import Arrangement
    from truehang.plan import Plan

_OPERATION = {
    "single-left": "SLIDING_TO_LEFT",
    "single-right": "SLIDING_TO_RIGHT",
    "pair": "DOUBLE_DOOR_SLIDING",
}
"""IfcDoorTypeOperationEnum of each arrangement, as seen along the door's y axis: from side A."""

_ENTITIES: Mapping[str, tuple[str, str, str]] = {
    "jamb stud": ("IfcMember", "STUD", ""),
    "king stud": ("IfcMember", "STUD", ""),
    "short stud": ("IfcMember", "STUD", ""),
    "wall stud": ("IfcMember", "STUD", ""),
    "infill stud": ("IfcMember", "STUD", ""),
    "backing": ("IfcMember", "STUD", ""),
    "noggin": ("IfcMember", "MEMBER", ""),
    "plate": ("IfcMember", "PLATE", ""),
    "head": ("IfcBeam", "LINTEL", ""),
    "packing": ("IfcMember", "MEMBER", ""),
    "head member": ("IfcMember", "MEMBER", ""),
    "back stud": ("IfcMember", "STUD", ""),
    "closing jamb": ("IfcMember", "POST", ""),
    "rib": ("IfcMember", "STUD", ""),
    "base batten": ("IfcMember", "PLATE", ""),
    "head strip": ("IfcMember", "MEMBER", ""),
    "packers": ("IfcDiscreteAccessory", "USERDEFINED", "packer"),
    "track": ("IfcMember", "USERDEFINED", "track"),
    "floor": ("IfcSlab", "FLOOR", ""),
    "flooring": ("IfcCovering", "FLOORING", ""),
    "service": ("IfcBuildingElementProxy", "USERDEFINED", "service"),
}
"""What each role is in the schema: entity, predefined type, and our own word for what the schema
has no type for."""
_MATERIALS: dict[Kind, str] = {
    "timber": "timber",
    "frame": "frame material",
    "metal": "metal",
    "packer": "packer",
    "leaf": "leaf",
    "floor": "floor",
    "lining": "lining",
    "service": "service",
}
_SIZES = "fit.*"
_NOT_SIZES = ("fit.option.*", "fit.mark.*", "fit.pack.*", "fit.price*", "fit.lead_time*")


class IfcMissing(RuntimeError):
    """IFC can't be written here. The message names the extra that has to be installed."""


class NothingToModel(ValueError):
    """The plan has no arrangement, so there is nothing to export."""


def available() -> bool:
    """Whether IFC can be written here."""
    from importlib.util import find_spec

    return find_spec("ifcopenshell") is not None


def ifc(plan: Plan) -> bytes:
    """The plan as an IFC 4 file (STEP physical file, UTF-8 safe ASCII).

    Raises IfcMissing without the extra `ifc`, and NothingToModel where nothing fits.
    """
    made = plan.arrangement
    if made is None:
        raise NothingToModel("nothing fits yet, so there is nothing to model; see the findings")
    if not available():
        raise IfcMissing("IFC needs the optional extra ifc: pip install 'truehang[ifc]'")
    return _Model(plan, made).text().encode("ascii")


class _Model:
    """An IFC file being put together."""

    def __init__(self, plan: Plan, made: Arrangement) -> None:
        import ifcopenshell
        import ifcopenshell.guid

        self._compress = ifcopenshell.guid.compress
        self._plan, self._made = plan, made
        self._file: Any = ifcopenshell.file(schema="IFC4")
        self._styles: dict[Kind, Any] = {}
        self._bodies: Any = None

    def text(self) -> str:
        """The whole file."""
        self._header()
        project = self._project()
        storey = self._places(project)
        parts = solids(self._plan)
        wall = self._wall(storey, [part for part in parts if part.group == "linings"])
        door = self._door(wall, [part for part in parts if part.group == "leaves"])
        loose = [
            part for part in parts if part.group in ("floor", "framing", "packers", "services")
        ]
        found = [self._element(part, storey) for part in loose]
        frame = self._frame(storey, [part for part in parts if part.group == "frame"])
        self._contain(storey, [wall, door, *found, frame])
        self._materials(parts, wall)
        self._describe(project, wall, door)
        whole: str = self._file.to_string()
        return whole

    # ------------------------------------------------------------ the file and its places

    def _new(self, entity: str, **values: Any) -> Any:
        return self._file.create_entity(entity, **values)

    def _root(self, entity: str, key: str, **values: Any) -> Any:
        """An entity with an id of its own, which depends on the plan and `key` alone."""
        seed = uuid.uuid5(uuid.NAMESPACE_OID, f"truehang/{self._plan.digest}/{key}")
        return self._new(entity, GlobalId=self._compress(seed.hex), **values)

    def _header(self) -> None:
        about, header = self._plan.job.job, self._file.header
        header.file_description.description = ("ViewDefinition [notYetAssigned]",)
        header.file_name.name = f"{about.name}.ifc"
        header.file_name.time_stamp = f"{about.issued.isoformat()}T00:00:00"
        header.file_name.preprocessor_version = f"Truehang {__version__}"
        header.file_name.originating_system = f"Truehang {__version__}"
        header.file_name.authorization = "none"

    def _project(self) -> Any:
        about = self._plan.job.job
        origin = self._new("IfcAxis2Placement3D", Location=self._point(0, 0, 0))
        context = self._new(
            "IfcGeometricRepresentationContext",
            ContextType="Model",
            CoordinateSpaceDimension=3,
            Precision=1e-3,
            WorldCoordinateSystem=origin,
        )
        self._bodies = self._new(
            "IfcGeometricRepresentationSubContext",
            ContextIdentifier="Body",
            ContextType="Model",
            ParentContext=context,
            TargetView="MODEL_VIEW",
        )
        units = [
            self._new("IfcSIUnit", UnitType=kind, Prefix=prefix, Name=name)
            for kind, prefix, name in (
                ("LENGTHUNIT", "MILLI", "METRE"),
                ("AREAUNIT", None, "SQUARE_METRE"),
                ("VOLUMEUNIT", None, "CUBIC_METRE"),
                ("PLANEANGLEUNIT", None, "RADIAN"),
                ("MASSUNIT", "KILO", "GRAM"),
            )
        ]
        invented = "Invented data. " if about.invented else ""
        return self._root(
            "IfcProject",
            "project",
            Name=about.name,
            LongName=about.title,
            Description=f"{invented}Local codes and licensed people rule over this model; it is no "
            "engineer's or certifier's approval.",
            RepresentationContexts=[context],
            UnitsInContext=self._new("IfcUnitAssignment", Units=units),
        )

    def _places(self, project: Any) -> Any:
        """Site, building and storey, each in the one before; the storey."""
        title, above, placement = self._plan.job.job.title, project, None
        for entity, name in (
            ("IfcSite", "Site"),
            ("IfcBuilding", "Building"),
            ("IfcBuildingStorey", "Storey"),
        ):
            placement = self._place(placement)
            more = {"Elevation": 0.0} if entity == "IfcBuildingStorey" else {}
            here = self._root(
                entity, entity, Name=name, Description=title, ObjectPlacement=placement,
                CompositionType="ELEMENT", **more,
            )  # fmt: skip
            self._root("IfcRelAggregates", f"{entity}/in", RelatingObject=above,
                       RelatedObjects=[here])  # fmt: skip
            above = here
        return above

    def _contain(self, storey: Any, elements: Sequence[Any]) -> None:
        self._root(
            "IfcRelContainedInSpatialStructure",
            "contained",
            RelatedElements=list(elements),
            RelatingStructure=storey,
        )

    # ------------------------------------------------------------ geometry

    def _point(self, *xyz: float) -> Any:
        return self._new("IfcCartesianPoint", Coordinates=[float(v) for v in xyz])

    def _way(self, *xyz: float) -> Any:
        return self._new("IfcDirection", DirectionRatios=[float(v) for v in xyz])

    def _place(self, relative: Any, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Any:
        where = self._new("IfcAxis2Placement3D", Location=self._point(x, y, z))
        return self._new("IfcLocalPlacement", PlacementRelTo=relative, RelativePlacement=where)

    def _body(
        self, blocks: Iterable[Block], kind: Kind | None, x: float = 0.0, z: float = 0.0
    ) -> Any:
        """Blocks as solids, in a frame whose origin is at `x`, `z` of the wall."""
        items = [self._solid(block, x, z) for block in blocks]
        if kind is not None:
            for item in items:
                self._new("IfcStyledItem", Item=item, Styles=[self._style(kind)])
        shape = self._new(
            "IfcShapeRepresentation",
            ContextOfItems=self._bodies,
            RepresentationIdentifier="Body",
            RepresentationType="SweptSolid",
            Items=items,
        )
        return self._new("IfcProductDefinitionShape", Representations=[shape])

    def _solid(self, block: Block, x: float, z: float) -> Any:
        if not block.level:
            return self._sloped(block, x, z)
        width, through = block.x1 - block.x0, block.y1 - block.y0
        flat = self._new("IfcAxis2Placement2D", Location=self._point(width / 2, through / 2))
        profile = self._new(
            "IfcRectangleProfileDef", ProfileType="AREA", Position=flat, XDim=width, YDim=through
        )
        corner = self._point(block.x0 - x, block.y0, block.bottom[0] - z)
        return self._new(
            "IfcExtrudedAreaSolid",
            SweptArea=profile,
            Position=self._new("IfcAxis2Placement3D", Location=corner),
            ExtrudedDirection=self._way(0, 0, 1),
            Depth=block.top[0] - block.bottom[0],
        )

    def _sloped(self, block: Block, x: float, z: float) -> Any:
        """A profile seen from side A, swept from the far side towards it."""
        corners = [
            (block.x0 - x, block.bottom[0] - z),
            (block.x1 - x, block.bottom[1] - z),
            (block.x1 - x, block.top[1] - z),
            (block.x0 - x, block.top[0] - z),
        ]
        line = self._new("IfcPolyline", Points=[self._point(*c) for c in (*corners, corners[0])])
        profile = self._new("IfcArbitraryClosedProfileDef", ProfileType="AREA", OuterCurve=line)
        position = self._new(
            "IfcAxis2Placement3D",
            Location=self._point(0, block.y1, 0),
            Axis=self._way(0, -1, 0),
            RefDirection=self._way(1, 0, 0),
        )
        return self._new(
            "IfcExtrudedAreaSolid",
            SweptArea=profile,
            Position=position,
            ExtrudedDirection=self._way(0, 0, 1),
            Depth=block.y1 - block.y0,
        )

    def _style(self, kind: Kind) -> Any:
        if kind not in self._styles:
            red, green, blue = (round(value / 255, 4) for value in COLOURS[kind])
            colour = self._new("IfcColourRgb", Red=red, Green=green, Blue=blue)
            shading = self._new(
                "IfcSurfaceStyleShading",
                SurfaceColour=colour,
                Transparency=0.5 if kind == "lining" else 0.0,
            )
            self._styles[kind] = self._new(
                "IfcSurfaceStyle", Name=_MATERIALS[kind], Side="BOTH", Styles=[shading]
            )
        return self._styles[kind]

    # ------------------------------------------------------------ wall, opening, door

    def _wall(self, storey: Any, linings: Sequence[Solid]) -> Any:
        """The wall as its two linings, whole: what the opening takes out is the opening's."""
        whole = [
            Block(
                min(b.x0 for b in part.blocks), max(b.x1 for b in part.blocks),
                part.blocks[0].y0, part.blocks[0].y1, part.blocks[0].bottom, part.blocks[0].top,
            )
            for part in linings
        ]  # fmt: skip
        return self._root(
            "IfcWall",
            "wall",
            Name="wall with sliding door",
            Description=f"Load: {self._plan.bearing.state.value}. {self._plan.job.wall.datum}",
            ObjectPlacement=self._place(storey.ObjectPlacement),
            Representation=self._body(whole, "lining"),
            PredefinedType="ELEMENTEDWALL",
        )

    def _door(self, wall: Any, leaves: Sequence[Solid]) -> Any:
        made = self._made
        low, foot = made.opening.low, made.heights.floor_high
        width, height = made.opening.length, made.heights.clear_head - foot
        through = made.wall.thickness
        hole = Block(0.0, width, 0.0, through, (0.0, 0.0), (height, height))
        # The lining ends over the floor; the hole reaches down to it.
        opening = self._root(
            "IfcOpeningElement",
            "opening",
            Name="clear opening",
            ObjectPlacement=self._place(wall.ObjectPlacement, x=low, z=foot),
            Representation=self._body([hole], None),
            PredefinedType="OPENING",
        )
        self._root("IfcRelVoidsElement", "voids", RelatingBuildingElement=wall,
                   RelatedOpeningElement=opening)  # fmt: skip
        operation = _OPERATION[made.kind]
        blocks = [block for part in leaves for block in part.blocks]
        door = self._root(
            "IfcDoor",
            "door",
            Name="pocket sliding door",
            Description="Shown closed; seen from side A, along the y axis.",
            ObjectPlacement=self._place(opening.ObjectPlacement),
            Representation=self._body(blocks, "leaf", low, foot),
            OverallHeight=height,
            OverallWidth=width,
            PredefinedType="DOOR",
            OperationType=operation,
        )
        self._root("IfcRelFillsElement", "fills", RelatingOpeningElement=opening,
                   RelatedBuildingElement=door)  # fmt: skip
        self._door_type(door, operation)
        return door

    def _door_type(self, door: Any, operation: str) -> None:
        made = self._made
        panels = [
            self._root(
                "IfcDoorPanelProperties",
                f"panel/{leaf.name}",
                Name=leaf.name,
                PanelDepth=leaf.thickness,
                PanelOperation="SLIDING",
                PanelPosition=leaf.pocket.upper() if len(made.leaves) == 2 else "MIDDLE",
            )
            for leaf in made.leaves
        ]
        kind = self._root(
            "IfcDoorType",
            "door type",
            Name=f"{made.option.kit_name}, {made.option.leaf_name}",
            HasPropertySets=panels,
            PredefinedType="DOOR",
            OperationType=operation,
            ParameterTakesPrecedence=False,
        )
        self._root("IfcRelDefinesByType", "door is of type", RelatedObjects=[door],
                   RelatingType=kind)  # fmt: skip

    # ------------------------------------------------------------ parts

    def _element(self, part: Solid, storey: Any) -> Any:
        entity, kind, own = _ENTITIES[part.role]
        more = {"ObjectType": own} if own else {}
        return self._root(
            entity,
            f"part/{part.name}",
            Name=part.name,
            ObjectPlacement=self._place(storey.ObjectPlacement),
            Representation=self._body(part.blocks, part.kind),
            PredefinedType=kind,
            **more,
        )

    def _frame(self, storey: Any, parts: Sequence[Solid]) -> Any:
        """The frame as one assembly of its members."""
        frame = self._root(
            "IfcElementAssembly",
            "frame",
            Name="pocket frame",
            ObjectType="pocket frame",
            ObjectPlacement=self._place(storey.ObjectPlacement),
            AssemblyPlace="SITE",
            PredefinedType="USERDEFINED",
        )
        members = [self._element(part, frame) for part in parts]
        self._root("IfcRelAggregates", "frame/parts", RelatingObject=frame, RelatedObjects=members)
        return frame

    def _materials(self, parts: Sequence[Solid], wall: Any) -> None:
        by_name = {element.Name: element for element in self._file.by_type("IfcElement")}
        for kind, name in _MATERIALS.items():
            made_of = [by_name[part.name] for part in parts
                       if part.kind == kind and part.name in by_name]  # fmt: skip
            if kind == "leaf":
                made_of = self._file.by_type("IfcDoor")
            if made_of:
                self._made_of(kind, made_of, self._new("IfcMaterial", Name=name))
        build_up = self._made.wall
        lining, studs = (self._new("IfcMaterial", Name=n) for n in ("lining", "stud space"))
        layers = [
            self._new("IfcMaterialLayer", Material=material, LayerThickness=thick, Name=name)
            for material, thick, name in (
                (lining, build_up.lining_a, "lining A"),
                (studs, build_up.stud, "stud space"),
                (lining, build_up.lining_b, "lining B"),
            )
        ]
        layered = self._new("IfcMaterialLayerSet", MaterialLayers=layers, LayerSetName="wall")
        self._made_of("wall", [wall], layered)

    def _made_of(self, key: str, elements: Sequence[Any], material: Any) -> None:
        self._root("IfcRelAssociatesMaterial", f"material/{key}", RelatedObjects=list(elements),
                   RelatingMaterial=material)  # fmt: skip

    # ------------------------------------------------------------ property sets

    def _describe(self, project: Any, wall: Any, door: Any) -> None:
        plan = self._plan
        about = plan.job.job
        job = {
            "Job": ("IfcLabel", about.name),
            "Revision": ("IfcInteger", about.revision),
            "Issued": ("IfcDate", about.issued.isoformat()),
            "Digest": ("IfcIdentifier", plan.digest),
            "Catalogue": ("IfcIdentifier", plan.catalogue_version),
            "Program": ("IfcLabel", f"Truehang {__version__}"),
            "InventedData": ("IfcBoolean", about.invented),
            "Draft": ("IfcBoolean", plan.standing.draft),
            "Standing": ("IfcText", plan.standing.headline),
        }
        for element, name in ((project, "project"), (wall, "wall"), (door, "door")):
            values = [self._value(key, *typed) for key, typed in job.items()]
            self._properties(element, f"{name}/job", "Truehang_Job", values)
        state = {"StateOfTheWall": ("IfcText", plan.bearing.state.value)}
        self._properties(wall, "wall/load", "Truehang_Load",
                         [self._value(key, *typed) for key, typed in state.items()])  # fmt: skip
        sizes = [self._figure(figure) for key, figure in sorted(_sizes(plan.figures).items())]
        self._properties(door, "door/sizes", "Truehang_Sizes", sizes)

    def _figure(self, figure: Figure) -> Any:
        if isinstance(figure.value, Message):
            return self._value(figure.key, "IfcText", str(figure.value), str(figure.label))
        measure = {"mm": "IfcLengthMeasure", "kg": "IfcMassMeasure"}.get(figure.unit, "IfcReal")
        return self._value(figure.key, measure, figure.number, str(figure.label))

    def _value(self, name: str, measure: str, value: object, told: str | None = None) -> Any:
        nominal = self._file.create_entity(measure, value)
        return self._new(
            "IfcPropertySingleValue", Name=name, Description=told, NominalValue=nominal
        )

    def _properties(self, element: Any, key: str, name: str, values: Sequence[Any]) -> None:
        held = self._root("IfcPropertySet", f"{key}/set", Name=name, HasProperties=list(values))
        self._root("IfcRelDefinesByProperties", key, RelatedObjects=[element],
                   RelatingPropertyDefinition=held)  # fmt: skip


def _sizes(figures: Mapping[str, Figure]) -> dict[str, Figure]:
    """The figures of the arrangement that are sizes of the door."""
    return {
        key: figure
        for key, figure in figures.items()
        if fnmatchcase(key, _SIZES) and not any(fnmatchcase(key, p) for p in _NOT_SIZES)
    }
