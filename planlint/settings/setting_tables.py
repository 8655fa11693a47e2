"""The tables of a ``planlint.toml``, by pydantic: which keys there are, and what may stand behind each.

Only imported where there is such a file: pydantic takes longer to import than to inspect a plan.
"""

import re
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, ValidationInfo, field_validator

from planlint.settings.setting_amounts import angle, length_set, number_set, percent

BOUNDS = {
    "bit_diameter": ("1/4 in", "3/4 in"),
    "pilot_diameter": ("1/32 in", "7/32 in"),
    "least_setback": ("1/8 in", "6 in"),
    "bits": ("1 in", "36 in"),
    "shank_diameter": ("1/8 in", "2 in"),
    "drivers": ("1/2 in", "36 in"),
    "lengths": ("1/4 in", "12 in"),
    "metric_lengths": ("6 mm", "305 mm"),
    "tip_cover": ("0 in", "1 in"),
    "kerf": ("0 in", "1/2 in"),
    "end_trim": ("0 in", "12 in"),
    "edge_trim": ("0 in", "2 in"),
    "standing": ("12 in", "96 in"),
    "seated": ("12 in", "96 in"),
    "seated_below": ("1 in", "120 in"),
    "distances": ("1 in", "100 ft"),
}
"""Between what the lengths of fixtures and screws lie, what is made, with room to spare (no pilot is as thick as a
bit); and between what eyes are, above the floor and from the piece.
Basis: own judgement."""


def _rising(value: tuple[float, float]) -> tuple[float, float]:
    if value[0] > value[1]:
        raise ValueError("the smaller of the two comes first")
    return value


def _some(value: tuple[Any, ...]) -> tuple[Any, ...]:
    if not value:
        raise ValueError("at least one is needed")
    return _not_many(value)


def _not_many(value: tuple[Any, ...]) -> tuple[Any, ...]:
    if len(value) > 100:
        raise ValueError("100 are the most")
    return value


def _drilling_angle(value: Any) -> float:
    said = "pockets are drilled at 5 to 45 degrees"
    try:
        degrees = angle(value)
    except ValueError as problem:
        raise ValueError(f"{problem}; {said}") from problem
    if not 5 <= degrees <= 45:
        raise ValueError(said)
    return degrees


def _lean(value: Any) -> float:
    degrees = angle(value)
    if degrees > 15:
        raise ValueError("a bit that leans more than 15 degrees turns no screw")
    return degrees


def _ratio(value: Any) -> float:
    ratio = number_set(value, "of the thickness", "0.8")
    if not 0 < ratio <= 2:
        raise ValueError("this is a share of the stock's thickness, more than 0 and at most 2")
    return ratio


_ADDRESS = re.compile(r"https?://[A-Za-z0-9._~:/?#@!$&'()*+,;=%-]+")

Length = Annotated[float, BeforeValidator(length_set)]
Percent = Annotated[float, BeforeValidator(percent)]
Sizes = Annotated[tuple[Length, ...], AfterValidator(_some)]
_Span = Annotated[tuple[Length, Length], AfterValidator(_rising)]


class SettingTable(BaseModel):
    """A table with just these keys, written with hyphens."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, alias_generator=lambda name: name.replace("_", "-")
    )


class Bounded(SettingTable):
    """A table with lengths that have bounds."""

    @field_validator("*")
    @classmethod
    def _in_bounds(cls, value: Any, info: ValidationInfo) -> Any:
        bounds = BOUNDS.get(info.field_name or "")
        values = value if isinstance(value, tuple) else (value,)
        for each in (one for some in values for one in (some if isinstance(some, tuple) else (some,))):
            if bounds and each is not None and not length_set(bounds[0]) <= each <= length_set(bounds[1]):
                raise ValueError(f"from {bounds[0]} to {bounds[1]} is due here: check the unit")
        return value


class DrillingTable(Bounded):
    """``[drilling]``: the fixture that guides the stepped bit."""

    angle: Annotated[float, BeforeValidator(_drilling_angle)] | None = None
    bit_diameter: Length | None = None
    pilot_diameter: Length | None = None
    least_setback: Length | None = None
    setback_ratio: Annotated[float, BeforeValidator(_ratio)] | None = None
    bits: Sizes | None = None
    shank_diameter: Length | None = None
    drivers: Annotated[tuple[tuple[Length, Length], ...], AfterValidator(_some)] | None = None
    lean: Annotated[float, BeforeValidator(_lean)] | None = None


class ViewerTable(Bounded):
    """``[viewer]``: whose eyes look at the piece; from the shortest to the tallest."""

    standing: _Span | None = None
    seated: _Span | None = None
    seated_below: Length | None = None
    distances: Sizes | None = None


def _gauge(value: Any) -> int:
    if isinstance(value, str) and value.strip().startswith("No."):
        bare = value.strip().removeprefix("No.").strip()
        value = int(bare) if bare.isdecimal() and len(bare) < 4 else value
    if isinstance(value, bool) or not isinstance(value, int) or not 2 <= value <= 24:
        raise ValueError('screws are made in gauges 2 to 24: write a whole number, or such as "No. 8"')
    return value


class ScrewsTable(Bounded):
    """``[screws]``: what lies in the drawer; ``metric_lengths`` are the same screws as a metric plan calls them."""

    lengths: Sizes | None = None
    metric_lengths: Annotated[tuple[Length, ...], AfterValidator(_not_many)] | None = None
    coarse_gauge: Annotated[int, BeforeValidator(_gauge)] | None = None
    fine_gauge: Annotated[int, BeforeValidator(_gauge)] | None = None
    tip_cover: Length | None = None


class HumidityTable(SettingTable):
    """``[humidity]``: relative humidity through the year."""

    range: Annotated[tuple[Percent, Percent], AfterValidator(_rising)] | None = None


class StockTable(SettingTable):
    """``[stock]``: what the shop keeps, in the words of a plan's stock line; with nothing in it, any stock goes."""

    kept: (
        Annotated[
            tuple[Annotated[str, AfterValidator(lambda words: words.strip())], ...], AfterValidator(_not_many)
        ]
        | None
    ) = None


def _few_words(value: str) -> str:
    words = " ".join(value.split())
    if len(words) > 80:
        raise ValueError('say it in a few words: "oak, face grain"')
    return words


class BuyingTable(Bounded):
    """``[buying]``: how the shop saws and buys; ``plugs`` the kind it buys, ``prices`` stock lines with what one board
    or sheet costs."""

    kerf: Length | None = None
    end_trim: Length | None = None
    edge_trim: Length | None = None
    spare_screws: Percent | None = None
    plugs: Annotated[str, AfterValidator(_few_words)] | None = None
    prices: Annotated[tuple[str, ...], AfterValidator(_not_many)] | None = None


def _owner(value: str) -> str:
    words = " ".join(value.split())
    if len(words) > 80:
        raise ValueError("the name of a person or a group is due here, of 80 letters at most")
    return words


class SectionTable(SettingTable):
    """Settings for the whole collection, or for one folder of it."""

    rules: dict[str, str | dict[str, Any]] = {}
    drilling: DrillingTable = DrillingTable()
    viewer: ViewerTable = ViewerTable()
    screws: ScrewsTable = ScrewsTable()
    humidity: HumidityTable = HumidityTable()
    stock: StockTable = StockTable()
    buying: BuyingTable = BuyingTable()
    owner: Annotated[str, AfterValidator(_owner)] | None = None
    """Who answers for the plans: reports are grouped by it."""


def _most_items(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 200_000:
        raise ValueError("a plan comes to 1 to 200000 parts and joints: write a whole number")
    return value


def _pattern(value: str) -> str:
    words = value.replace("\\", "/").strip()
    pieces = words.removeprefix("./").strip("/").split("/")
    if words.startswith("!"):
        raise ValueError("nothing is taken back here: name only what is left out")
    if ".." in pieces:
        raise ValueError("a pattern counts from the folder of this file downwards, such as `old/*`")
    if "" in pieces or "." in pieces:
        raise ValueError(
            "this names nothing: write the name of a folder or a plan, or a pattern such as `old/*`"
        )
    return value


def _address(value: str) -> str:
    if value and not _ADDRESS.fullmatch(value):
        raise ValueError("an address is due here, such as `https://shop.example/rules/`")
    return value


class WholeTable(SectionTable):
    """The whole file."""

    rule_pages: Annotated[str, AfterValidator(_address)] | None = None
    """Where a page about each rule lies, called as the rule is."""
    exclude: tuple[Annotated[str, AfterValidator(_pattern)], ...] = ()
    most_items: Annotated[int, BeforeValidator(_most_items)] | None = None
    folders: dict[str, SectionTable] = {}
