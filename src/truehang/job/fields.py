"""How is one value of a job file read? Lengths with their plausible range, plain numbers, ids."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler
from pydantic import GetJsonSchemaHandler as JsonHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from truehang.amounts import read_amount, ways_to_write
from truehang.lengths import LengthError, parse_length

_BARE = re.compile(r"^\s*[+-]?\d+(?:[.,]\d+)?\s*$")
_COMMA = re.compile(r"^\s*([+-]?\d+),(\d{1,2}|\d{4,})(\s*(?:mm|cm|m)?)\s*$", re.IGNORECASE)
_ISO_DAY = re.compile(r"^\d{4}-\d\d-\d\d$")
_UNITS = ((1000.0, "metres"), (10.0, "centimetres"), (25.4, "inches"), (304.8, "feet"))
LENGTH_TEXT = r"""^\s*[+-]?[\d.,/\s'"′″’”⁄½¼¾⅛⅜⅝⅞-]+(mm|cm|m|ft\.?|in\.?|[\s\w.'"/-]*)?\s*$"""


class Section(BaseModel):
    """Base of every part of a job file: frozen, no unknown keys, no NaN."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        str_strip_whitespace=True,
        defer_build=True,  # a part is checked inside the whole job, so it needs no checker alone
    )


@dataclass(frozen=True, slots=True)
class Millimetres:
    """A length field that accepts `least` to `most` millimetres.

    A bare number outside that range which would fit as metres, centimetres, inches or feet is
    not converted: the error asks whether that was meant. A number smaller than `ask_below` with a
    decimal fraction is asked about too (a coordinate may be 12, but hardly 2.87).
    """

    least: float
    most: float
    ask_below: float = 0.0

    def read(self, given: object) -> float:
        """The length in mm; raises PydanticCustomError with the mend in its context."""
        if isinstance(given, str) and (comma := _COMMA.match(given)):
            raise PydanticCustomError(
                "length_comma",
                "a comma in a number, which parts two values in a list",
                {"mend": f"write it with a point: {comma[1]}.{comma[2]}{comma[3]}"},
            )
        try:
            value = parse_length(given) + 0.0
        except LengthError as error:
            raise PydanticCustomError(
                "length",
                "{what}",
                {
                    "what": error.what,
                    "mend": str(error).partition("; ")[2] or "write millimetres (2870)",
                },
            ) from None
        bare = not isinstance(given, str) or _BARE.match(given) is not None
        if self.least <= value <= self.most and not (bare and self._odd(value)):
            return value
        if bare and (guess := self._meant(value)):
            raise PydanticCustomError("length_unit", guess[0], {"mend": guess[1]})
        if self.least == 0 and value < 0:
            raise PydanticCustomError(
                "length_negative", "below zero", {"mend": "give it as a positive length"}
            )
        raise PydanticCustomError(
            "length_range",
            "outside {range}",
            {
                "range": f"{self.least:g} to {self.most:g} mm",
                "mend": f"measure it again; it must lie between {self.least:g} and {self.most:g}",
            },
        )

    def _odd(self, value: float) -> bool:
        return 0 < abs(value) < self.ask_below and value != round(value)

    def write(self, value: float) -> float | str:
        """The value as it is read back: with its unit where a bare number would be asked about."""
        return f"{value!r} mm" if self._odd(value) else value

    def _meant(self, value: float) -> tuple[str, str] | None:
        for scale, unit in _UNITS:
            meant = round(value * scale, 1)
            if max(self.least, self.ask_below) <= meant <= self.most:
                return (
                    f"not plausible as millimetres; it looks like {unit}",
                    f"did you mean {meant:g} mm? write {meant:g}, or write the unit after it",
                )
        return None

    def __get_pydantic_core_schema__(
        self, _source: Any, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(
                self.write,
                return_schema=core_schema.union_schema(
                    [core_schema.float_schema(), core_schema.str_schema()]
                ),
            ),
        )

    def __get_pydantic_json_schema__(self, _schema: CoreSchema, _handler: JsonHandler) -> Any:
        return {
            "anyOf": [
                {"type": "number", "minimum": self.least, "maximum": self.most},
                {"type": "string", "pattern": LENGTH_TEXT},
            ],
            "x-unit": "mm",
        }


def _no_bool(given: object) -> object:
    if isinstance(given, bool):
        raise PydanticCustomError(
            "not_a_number", "true/false is not a number", {"mend": "write a number"}
        )
    return given


# Lengths by what they measure. The ranges are plausibility limits (common practice, no source):
# wide enough for any building this tool serves, narrow enough to catch a wrong unit.
Span = Annotated[float, Millimetres(300, 12000)]
"""A width, height or diagonal of an opening, or a clear passage."""
Hand = Annotated[float, Millimetres(300, 2200)]
"""The height of a handle over the floor."""
Tall = Annotated[float, Millimetres(1500, 8000)]
"""A ceiling height."""
RunLength = Annotated[float, Millimetres(500, 30000)]
"""A wall run."""
Reach = Annotated[float, Millimetres(0, 30000, ask_below=20)]
"""A distance along the wall that may be nothing."""
Along = Annotated[float, Millimetres(-1000, 30000, ask_below=20)]
"""A coordinate x along the wall from the datum."""
Up = Annotated[float, Millimetres(-500, 8000, ask_below=20)]
"""A coordinate z above the level datum."""
Offset = Annotated[float, Millimetres(-200, 200)]
"""A small signed departure: plumb, level, bow, floor."""
Tool = Annotated[float, Millimetres(300, 6000)]
"""The length of a level or straightedge: a shorter one says little of a jamb."""
Thin = Annotated[float, Millimetres(0.1, 300)]
"""The thickness of a layer or a packer."""
Thick = Annotated[float, Millimetres(40, 700)]
"""The thickness of a wall."""
FaceWidth = Annotated[float, Millimetres(10, 400)]
"""One side of a timber or steel section."""
Extent = Annotated[float, Millimetres(5, 8000)]
"""How far a service reaches along or up the wall."""
Spacing = Annotated[float, Millimetres(150, 1200)]
"""Centres of studs or joists."""
Cover = Annotated[float, Millimetres(0, 100)]
"""The thickness of a floor finish to come."""
Sigma = Annotated[float, Millimetres(0.05, 50)]
"""A standard uncertainty."""
Piece = Annotated[float, Millimetres(50, 13000)]
"""The length of an offcut or of the longest thing that can be carried in."""


def _day(given: object) -> object:
    if isinstance(given, date) and not isinstance(given, datetime):
        return given
    try:
        if isinstance(given, str) and _ISO_DAY.match(given):
            return date.fromisoformat(given)
    except ValueError:
        pass
    raise PydanticCustomError(
        "day", "not a day of the calendar", {"mend": "write year-month-day: 2026-03-02"}
    )


Day = Annotated[date, BeforeValidator(_day)]
"""A calendar day, written 2026-03-02."""

Number = Annotated[float, BeforeValidator(_no_bool)]


@dataclass(frozen=True, slots=True)
class InUnit:
    """A number in a unit of ours, which may be written with it or with the one that goes with feet
    and inches: 25, "25 kg" or "55 lb"."""

    unit: str

    def read(self, given: object) -> object:
        """The number in ours; what is no text is left to the number's own check."""
        if not isinstance(given, str) or _BARE.match(given):
            return _no_bool(given)
        found = read_amount(given, self.unit)
        if found is None:
            raise PydanticCustomError(
                "amount", "not an amount that can be read",
                {"mend": f"write {ways_to_write(self.unit)}"},
            )  # fmt: skip
        return found

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self.read, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: JsonHandler) -> Any:
        return {
            "anyOf": [handler(schema), {"type": "string", "pattern": AMOUNT_TEXT}],
            "x-unit": self.unit,
        }


AMOUNT_TEXT = r"^\s*[+-]?\d+([.,]\d+)?\s*\D.*$"
Mass = Annotated[float, InUnit("kg")]
SheetMass = Annotated[float, InUnit("kg/m2")]
"""What a square metre of a sheet weighs."""
Force = Annotated[float, InUnit("N")]
Hung = Annotated[float, InUnit("kN")]
"""What may be hung from something."""
AreaLoad = Annotated[float, InUnit("kPa")]
LineLoad = Annotated[float, InUnit("kN/m")]
Surface = Annotated[float, InUnit("m2")]
Volume = Annotated[float, InUnit("m3")]
Inertia = Annotated[float, InUnit("cm4")]
Temperature = Annotated[float, InUnit("C")]
Whole = Annotated[int, BeforeValidator(_no_bool)]
Amount = Annotated[Decimal, BeforeValidator(_no_bool), Field(ge=0, max_digits=10, decimal_places=2)]
"""An amount of money in the region's currency, with cents."""

Id = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9._-]{0,63}$")]
"""A short name: lower-case letters, digits, dots, dashes."""
Line = Annotated[str, Field(min_length=1, max_length=200)]
"""One line of text."""
Note = Annotated[str, Field(max_length=2000)]
"""A few lines of text."""
