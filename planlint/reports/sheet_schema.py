"""The shape of the shop sheet's JSON, held by pydantic, and its JSON Schema. Not imported in a usual run."""

from typing import Annotated, Any, Literal

from pydantic import Field

from planlint.reports.json_schema import StrictEntry

Long = Annotated[float, Field(ge=0, description="a length, in the sheet's `unit`")]
_Area = Annotated[float, Field(ge=0, description="an area, in the sheet's `area_unit`")]
Pounds = Annotated[float, Field(ge=0, description="a weight or a force, in the sheet's `weight_unit`")]
_Count = Annotated[int, Field(ge=0)]
SideName = Literal["left", "right", "front", "back", "bottom", "top"]


class SheetFinding(StrictEntry):
    """A fault of the plan; with one under ``stops``, nothing is to be cut yet."""

    rule: str
    joint: str | None
    parts: Annotated[list[str], Field(description="where it is of no one joint")]
    says: str


class EndEntry(StrictEntry):
    """An end that is not square: degrees off square, the blade tilted or the fence turned."""

    end: SideName
    angle: Annotated[float, Field(gt=0, lt=90)]
    tilted: bool
    long_at: SideName


class ShapedEntry(StrictEntry):
    """A side that a traditional joint shapes; ``lets_in`` where the other part comes into it. ``box``: how far inside
    each side of the part lies what stays of it (then ``shoulders`` are told), what is cut out, or where it meets the
    other; null where the plan does not settle that. Where it is not ``thick_said`` how thick what goes in is,
    the box is as thick as the part, and no shoulder is told on its faces."""

    side: SideName
    as_: Annotated[str, Field(alias="as")]
    makes: str
    words: list[str]
    lets_in: bool
    measures: dict[str, Long]
    thick_said: bool
    shoulders: dict[SideName, Long] | None
    box: dict[SideName, float] | None
    haunch: SideName | None


class CutOutEntry(StrictEntry):
    """Wood taken out of ``face``: its near wall lies ``away`` from the side ``from``."""

    kind: str
    face: SideName
    deep: Long
    wide: Long
    from_: Annotated[SideName, Field(alias="from")]
    away: Long
    start: Long
    stop: Long


class TrimEntry(StrictEntry):
    """What is cut off and leaves no hollow: a ``taper`` (how wide it leaves the part ``at`` that end, how far from the
    other it starts), a ``chamfer`` (how far in from each side), a ``rounding`` (its radius), a ``bow`` (how deep)."""

    kind: str
    sides: list[SideName]
    sizes: list[Long]
    at: SideName | None


class NotCountedEntry(StrictEntry):
    """A joint that the plan does not settle: its pockets and fasteners are in no other number here."""

    joint: str
    what: list[str]
    count: _Count | None


class PartsEntry(StrictEntry):
    """Parts that are cut alike; a length is along the grain, long point to long point; ``rough`` is what
    to saw before planing: length, width, thickness; ``taped`` the edges that get veneer tape; ``bought`` is
    the place in ``buying``, from 0, of what it comes out of: two plans may call unlike stock alike."""

    names: Annotated[list[str], Field(min_length=1)]
    count: Annotated[int, Field(ge=1)]
    length: Long
    width: Long
    thickness: Long
    rough: tuple[Long, Long, Long] | None
    stock: str
    bought: _Count
    ends: list[EndEntry]
    shaped: list[ShapedEntry]
    cut_outs: list[CutOutEntry]
    trims: list[TrimEntry]
    taped: list[SideName]


class BoardEntry(StrictEntry):
    """So many boards of one length, each cut into the same lengths."""

    length: Long
    count: Annotated[int, Field(ge=1)]
    cut: list[Long]


class PlacedEntry(StrictEntry):
    """A part on its strip."""

    part: str
    start: Long
    long: Long
    wide: Long


class StripEntry(StrictEntry):
    wide: Long
    start: Long
    parts: list[PlacedEntry]


class SpotEntry(StrictEntry):
    """A part on a sheet that is cut piece by piece, from the sheet's corner: ``x`` and ``long`` along the grain."""

    part: str
    x: Long
    y: Long
    long: Long
    wide: Long


class SawEntry(StrictEntry):
    """A cut right through one piece, along the grain (a rip) or across: ``off`` are the parts on what is cut off,
    ``measure`` long or wide, ``rest`` those on the rest."""

    way: Literal["rip", "crosscut"]
    measure: Long
    off: list[str]
    rest: list[str]


class PanelEntry(StrictEntry):
    """A sheet; ``along_grain``: its strips run along the grain. One that is cut piece by piece has no strips, but
    ``spots``. ``saws`` are its cuts, in their order."""

    along_grain: bool
    strips: list[StripEntry]
    spots: list[SpotEntry]
    saws: list[SawEntry]


class PurchaseEntry(StrictEntry):
    """What one stock comes to. ``why_not`` says why nothing is laid out, ``left_out`` which parts nothing that is sold
    gives; ``assumed``: how it is sold is a usual size, told by nobody; ``how`` how good the lay-out is; ``size`` of
    each sheet; ``as_sawn`` the least thickness and width of boards that are bought rough; ``price`` of all but the
    ``unpriced``; ``grade`` what is said before the wood, or nothing."""

    stock: str
    grade: str
    written: str
    as_sawn: tuple[Long, Long | None] | None
    count: _Count
    size: tuple[Long, Long] | None
    why_not: Literal["no width", "wide", "too large", "too many"] | None
    assumed: bool
    left_out: list[str]
    how: Literal["proved", "through", "strips", "bounded", "first fit"] | None
    bound: float | None
    board_feet: float | None
    waste: float | None
    price: float | None
    unpriced: _Count
    boards: list[BoardEntry]
    sheets: list[PanelEntry]


class FastenerEntry(StrictEntry):
    """A fastener that is no pocket screw; ``called`` as it is sold."""

    called: str | None
    thick: Long | None
    length: Long | None


class SundryEntry(StrictEntry):
    """``size`` of pocket screws: thread, length, gauge; ``made`` tells other fasteners, or whose heads are plugged;
    ``loose`` the measures of dowels, biscuits and splines, of which the length is ``needed``."""

    what: Literal[
        "screws",
        "plugs",
        "head plugs",
        "inserts",
        "bolts",
        "nails",
        "buttons",
        "clips",
        "hinges",
        "slides",
        "pins",
        "dowels",
        "biscuits",
        "splines",
    ]
    made: FastenerEntry | None
    loose: dict[str, Long] | None
    size: tuple[str, Long, int] | None
    needed: _Count
    bought: _Count
    kind: str


class RowEntry(StrictEntry):
    """One row of pockets; ``places`` count from the side ``from``."""

    part: str
    face: SideName
    end: SideName
    into: str
    from_: Annotated[SideName, Field(alias="from")]
    places: list[float]
    plugged: bool


class DrillingEntry(StrictEntry):
    """One setting of fixture and stop."""

    thickness: Long
    setback: Long
    depth: Long
    rows: list[RowEntry]


class WeightsEntry(StrictEntry):
    """``acts_at``: from the left, the front and the bottom of the piece; null where the plan does not settle where all
    parts lie. ``guessed``: woods of which no density is known."""

    piece: Pounds
    acts_at: tuple[float, float, float] | None
    guessed: list[str]
    parts: dict[str, Pounds]


class ShelfEntry(StrictEntry):
    """What a part that lies flat may bear for good, spread over ``span``, until it sags ``sag`` at first."""

    part: str
    load: Pounds
    span: Long
    sag: Long


class ScrewEntry(StrictEntry):
    """The most that one screw of a joint carries under the loads; ``of_allowed`` is null where that is not known, and
    tells what is across alone where what pulls is not judged."""

    joint: str
    pulling: Pounds
    across: Pounds
    of_allowed: float | None
    pulling_judged: bool


class SawSettingEntry(StrictEntry):
    """A setting of fence or stop, in their order; ``parts``: one name of those cut alike, and how many of them. A strip
    is one cut for all its parts. ``plane`` tells when parts that are sawn rough are planed; ``angle`` is off square."""

    way: Literal["crosscut", "rip", "plane", "fence turned", "blade tilted"]
    measure: Long | None
    angle: float | None
    cuts: _Count
    parts: list[tuple[str, _Count]]


class TapeEntry(StrictEntry):
    """Veneer tape for the edges of a material; ``length`` has no share for trimming."""

    material: str
    thickness: Long
    length: Long


class SheetEntry(StrictEntry):
    """What ``planlint sheet --as json`` prints. ``unit`` is that of every length; ``finish`` and ``glue`` are areas;
    ``not_glued`` counts joints such as tenons of which the plan does not say it;
    of several plans at once no weights and loads are told."""

    title: str
    unit: Literal["in", "mm"]
    area_unit: Literal["square feet", "square metres"]
    stops: list[SheetFinding]
    others: list[SheetFinding]
    not_counted: list[NotCountedEntry]
    parts: list[PartsEntry]
    buying: list[PurchaseEntry]
    saw_settings: list[SawSettingEntry]
    tape: list[TapeEntry]
    sundries: list[SundryEntry]
    drilling: list[DrillingEntry]
    finish: _Area
    glue: _Area
    not_glued: int
    weight_unit: Literal["lb", "kg"]
    weights: WeightsEntry | None
    may_bear: list[ShelfEntry]
    screws_carry: list[ScrewEntry]


def sheet_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of the sheet."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **SheetEntry.model_json_schema()}
