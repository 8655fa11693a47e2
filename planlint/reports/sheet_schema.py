"""The shape of the shop sheet's JSON, held by pydantic, and its JSON Schema. Not imported in a usual run."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Inches = Annotated[float, Field(ge=0)]
SquareFeet = Annotated[float, Field(ge=0)]
Count = Annotated[int, Field(ge=0)]
SideName = Literal["left", "right", "front", "back", "bottom", "top"]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class SheetFinding(_Strict):
    """A fault of the plan; with one under ``stops``, nothing is to be cut yet."""

    rule: str
    joint: str | None
    says: str


class EndEntry(_Strict):
    """An end that is not square: degrees off square, the blade tilted or the fence turned."""

    end: SideName
    angle: Annotated[float, Field(gt=0, lt=90)]
    tilted: bool
    long_at: SideName


class ShapedEntry(_Strict):
    """A side that a traditional joint shapes; ``lets_in`` where the other part comes into it."""

    side: SideName
    as_: Annotated[str, Field(alias="as")]
    lets_in: bool
    measures: dict[str, Inches]


class CutOutEntry(_Strict):
    """Wood taken out of ``face``: its near wall lies ``away`` from the side ``from``."""

    kind: str
    face: SideName
    deep: Inches
    wide: Inches
    from_: Annotated[SideName, Field(alias="from")]
    away: Inches
    start: Inches
    stop: Inches


class PartsEntry(_Strict):
    """Parts that are cut alike; a length is along the grain, long point to long point."""

    names: Annotated[list[str], Field(min_length=1)]
    count: Annotated[int, Field(ge=1)]
    length: Inches
    width: Inches
    thickness: Inches
    stock: str
    ends: list[EndEntry]
    shaped: list[ShapedEntry]
    cut_outs: list[CutOutEntry]


class BoardEntry(_Strict):
    """So many boards of one length, each cut into the same lengths."""

    length: Inches
    count: Annotated[int, Field(ge=1)]
    cut: list[Inches]


class PlacedEntry(_Strict):
    """A part on its strip."""

    part: str
    start: Inches
    long: Inches
    wide: Inches


class StripEntry(_Strict):
    wide: Inches
    start: Inches
    parts: list[PlacedEntry]


class PanelEntry(_Strict):
    """A sheet; ``along_grain``: its strips run along the grain."""

    along_grain: bool
    strips: list[StripEntry]


class PurchaseEntry(_Strict):
    """What one stock comes to. ``why_not`` says why nothing is laid out; ``how`` how good the lay-out is."""

    stock: str
    written: str
    count: Count
    why_not: Literal["no length", "no width", "no sheet size", "too long", "too large", "too many"] | None
    how: Literal["proved", "strips", "bounded", "first fit"] | None
    bound: float | None
    board_feet: float | None
    waste: float | None
    price: float | None
    boards: list[BoardEntry]
    sheets: list[PanelEntry]


class FastenerEntry(_Strict):
    """A fastener that is no pocket screw; ``called`` as it is sold."""

    called: str | None
    thick: Inches | None
    length: Inches | None


class SundryEntry(_Strict):
    """``size`` of pocket screws: thread, length in inches, gauge; ``made`` tells other fasteners."""

    what: Literal["screws", "plugs", "bolts", "nails", "buttons", "clips", "hinges", "slides", "pins"]
    made: FastenerEntry | None
    size: tuple[str, float, int] | None
    needed: Count
    bought: Count
    kind: str


class RowEntry(_Strict):
    """One row of pockets; ``places`` in inches from the side ``from``."""

    part: str
    face: SideName
    end: SideName
    into: str
    from_: Annotated[SideName, Field(alias="from")]
    places: list[float]
    plugged: bool


class DrillingEntry(_Strict):
    """One setting of fixture and stop."""

    thickness: Inches
    setback: Inches
    depth: Inches
    rows: list[RowEntry]


class SheetEntry(_Strict):
    """What ``planlint sheet --as json`` prints. ``finish`` and ``glue`` are areas."""

    title: str
    unit: str
    stops: list[SheetFinding]
    others: list[SheetFinding]
    parts: list[PartsEntry]
    buying: list[PurchaseEntry]
    sundries: list[SundryEntry]
    drilling: list[DrillingEntry]
    finish: SquareFeet
    glue: SquareFeet


def sheet_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of the sheet."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **SheetEntry.model_json_schema()}
