"""What a shop brings to a plan: its drilling fixture, its screws, and who looks at the piece.

These are defaults from common practice, written down from memory; a shop measures its own.
Lengths in inches.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from math import cos, radians, sin
from typing import TYPE_CHECKING, NamedTuple

from planlint.rulebook.limits import Limits
from planlint.text.rounding import ROUNDING
from planlint.text.source import Mistake, PlanText, Span

if TYPE_CHECKING:
    # A collection that has not changed is told from memory: no plan is worked out.
    from planlint.model.stock import Stock


class SetUp(NamedTuple):
    """A driver bit and what turns it; lengths and width in inches."""

    bit: float
    driver_length: float
    driver_width: float

    @property
    def length(self) -> float:
        """Of both together."""
        return self.bit + self.driver_length


@dataclass(frozen=True)
class DrillingProfile:
    """The fixture that guides the stepped bit. Basis: common practice, from memory."""

    angle: float = 15.0
    """Degrees between the bore and the drilled face."""
    bit_diameter: float = 3 / 8
    pilot_diameter: float = 9 / 64
    least_setback: float = 1 / 2
    setback_ratio: float = 5 / 6
    """Setback of the shoulder along the bore, as a share of the stock's thickness."""
    bits: tuple[float, ...] = (6.0, 3.0, 12.0)
    """Driver bits by what stands out of the drill, in inches; the usual one first."""
    shank_diameter: float = 1 / 4
    drivers: tuple[tuple[float, float], ...] = ((8.0, 2.0), (5.5, 2.0), (3.0, 1.5))
    """What turns them, each by its length behind the bit and by how wide it is; the usual one first: a drill, a
    compact one, a right-angle head."""
    lean: float = 3.0
    """Degrees by which a bit may lean in a screw's recess before it slips."""

    @cached_property
    def set_ups(self) -> tuple[SetUp, ...]:
        """Every bit in every driver, the usual pair first; then those that differ from it in one thing only."""
        pairs = [(i, j) for i in range(len(self.bits)) for j in range(len(self.drivers))]
        pairs.sort(key=lambda pair: ((pair[0] > 0) + (pair[1] > 0), pair[0] + pair[1]))
        return tuple(SetUp(self.bits[i], *self.drivers[j]) for i, j in pairs)

    def setback(self, thickness: float) -> float:
        """How far the shoulder lies back from the joint along the bore: ``max(1/2, 5/6 t)``."""
        return max(self.least_setback, self.setback_ratio * thickness)

    @cached_property
    def slope(self) -> tuple[float, float]:
        """Cosine and sine of the drilling angle."""
        return cos(radians(self.angle)), sin(radians(self.angle))


@dataclass(frozen=True)
class Viewer:
    """Whose eyes look at the piece; heights and distances in inches.

    Heights: ANSUR II (2012), public files, 5th percentile of women to 95th of men, barefoot: standing
    eye 1421 to 1753 mm, seated eye above the floor 1063 to 1315 mm. Distances: our own judgement.
    """

    standing: tuple[float, float] = (1421 / 25.4, 1753 / 25.4)
    seated: tuple[float, float] = (1063 / 25.4, 1315 / 25.4)
    seated_below: float = 36.0
    """A piece lower than this is also looked at from a chair."""
    distances: tuple[float, ...] = (12.0, 48.0, 120.0)


@dataclass(frozen=True)
class ShopScrews:
    """The screws kept in the shop: lengths in inches; gauge by thread. Basis: common practice, from memory."""

    lengths: tuple[float, ...] = (1.0, 1.25, 1.5, 2.0, 2.5)
    metric_lengths: tuple[float, ...] = (25 / 25.4, 32 / 25.4, 38 / 25.4, 50 / 25.4, 63 / 25.4)
    """The same screws by their metric lengths: a plan may ask for either. Basis: common practice, from memory."""
    gauges: tuple[tuple[str, int], ...] = (("coarse", 8), ("fine", 7))
    tip_cover: float | None = None
    """Wood kept between a screw's point and the far face when the tool chooses a length; ``None`` for as much as the
    rule tip-through asks for."""

    def gauge(self, thread: str) -> int:
        return dict(self.gauges)[thread]

    def kept_as(self, said: float) -> float:
        """The length kept that goes by the metric length ``said``: it is the same screw, and holds as that does."""
        named = zip(self.metric_lengths, self.lengths, strict=False)
        return next((length for name, length in named if abs(name - said) < ROUNDING), said)


@dataclass(frozen=True)
class Humidity:
    """Relative humidity around the finished piece through the year, in percent.

    Basis: common practice for heated rooms, from memory; a shop knows its own climate.
    """

    low: float = 30.0
    high: float = 60.0


@dataclass(frozen=True)
class Buying:
    """How the shop saws and buys; lengths in inches. Basis: common practice, from memory; a shop has its own."""

    kerf: Fraction = Fraction(1, 8)
    end_trim: Fraction = Fraction(1, 2)
    """Cut off each end of a board or sheet as it is bought: checks, dirt, an end out of square."""
    edge_trim: Fraction = Fraction(0)
    """Cut off each long edge of a sheet."""
    spare_screws: float = 0.1
    """The share of screws and plugs bought beyond those that are needed."""
    plugs: str = ""
    """What kind of plugs the shop buys, in its own words; empty where that is not said."""
    prices: tuple[tuple[Stock, float], ...] = ()
    """What one board or sheet costs, in whatever money the shop counts; empty where that is not said."""

    def price(self, sold: Stock) -> float | None:
        """The price of one such board or sheet, of its grade if that is told; ``None`` where the shop told none."""
        grade = sold.material.grade
        found = [(s.material.grade, price) for s, price in self.prices if _priced(s) == _priced(sold)]
        some = [(of != grade, price) for of, price in found if not grade or of in {"", grade}]
        return min(some)[1] if some else None


def _priced(stock: Stock) -> object:
    """What a price is for, whichever of its names the wood is called by, but for its grade."""
    made = stock.material
    return made.sold_as, made.sawn, made.treated, stock.thickness, stock.width, stock.length


MOST_FILES = 50
"""Files that one plan may use. Basis: own judgement."""


@dataclass(frozen=True)
class Files:
    """The files that a plan's ``use`` lines bring in, read beforehand: by their paths from the plan's folder."""

    texts: dict[str, PlanText | Mistake] = field(default_factory=dict)

    def __call__(self, path: str) -> PlanText | Mistake:
        """The text of a file, or why there is none; without a word where its line was not read as a ``use``."""
        return self.texts.get(path, _NOT_READ)


_NOT_READ = Mistake(Span(0, 0), "")


@dataclass(frozen=True)
class Settings:
    """Everything a plan is judged by that the plan itself does not say."""

    profile: DrillingProfile = DrillingProfile()
    viewer: Viewer = Viewer()
    screws: ShopScrews = ShopScrews()
    limits: Limits = field(default_factory=Limits)
    """What the rules measure against, with what the shop changed."""
    most_items: int = 20_000
    """Parts and joints a plan may expand to."""
    grades: dict[str, str] = field(default_factory=dict)
    """Changed grades by rule: ``stop``, ``caution``, ``advice`` or ``off``."""
    not_installed: tuple[tuple[str, str], ...] = ()
    """A workshop's own rules that its settings name and no package here brings, each with what to do about it."""
    humidity: Humidity = Humidity()
    stock: tuple[Stock, ...] = ()
    """Stock that the shop keeps; empty where that is not said."""
    buying: Buying = Buying()
    files: Files | None = None
    """What the plan's ``use`` lines bring in; ``None`` where no file can be read."""

    @property
    def tip_cover(self) -> float:
        """Wood kept before the point of a screw that the tool chooses, in inches."""
        said = self.screws.tip_cover
        return self.limits["tip-through", "wood before the point"] if said is None else said

    @property
    def bore_spacing(self) -> float:
        """Least distance from middle to middle of two bores of a row, in inches."""
        return self.limits["close-spacing", "wood between bores"] + self.profile.bit_diameter
