"""How much solid wood moves across its grain over a season.

``dD = D * C * (M2 - M1)`` with the dimensional change coefficient C for the tangential direction (the width of a
flat-sawn board, so the larger of the two): Wood Handbook, FPL-GTR-190, equation 13-2 and table 13-5. Rows not in
``_READ`` were recalled, not read.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import NamedTuple

from planlint.model.timber import Material
from planlint.model.workshop import Humidity

_TANGENTIAL: dict[str, float] = {
    "red oak": 0.00369,
    "white oak": 0.00365,
    "sugar maple": 0.00353,
    "red maple": 0.00289,
    "black walnut": 0.00274,
    "black cherry": 0.00248,
    "shagbark hickory": 0.00411,
    "white ash": 0.00274,
    "yellow birch": 0.00338,
    "American beech": 0.00431,
    "yellow poplar": 0.00289,
    "red alder": 0.00256,
    "basswood": 0.00330,
    "quaking aspen": 0.00234,
    "eastern white pine": 0.00212,
    "western white pine": 0.00259,
    "sugar pine": 0.00194,
    "ponderosa pine": 0.00216,
    "lodgepole pine": 0.00234,
    "loblolly pine": 0.00259,
    "longleaf pine": 0.00263,
    "Douglas-fir": 0.00267,
    "western hemlock": 0.00274,
    "white fir": 0.00245,
    "Engelmann spruce": 0.00248,
    "Sitka spruce": 0.00263,
    "western redcedar": 0.00234,
    "eastern redcedar": 0.00162,
    "old-growth redwood": 0.00205,
    "young-growth redwood": 0.00229,
    "baldcypress": 0.00216,
    "silver maple": 0.00252,
    "bigleaf maple": 0.00248,
    "pecan hickory": 0.00315,
    "paper birch": 0.00304,
    "eastern cottonwood": 0.00327,
    "butternut": 0.00223,
    "hackberry": 0.00315,
    "black locust": 0.00252,
    "sweetgum": 0.00365,
    "American sycamore": 0.00296,
    "Honduras mahogany": 0.00238,
    "African mahogany": 0.00201,
    "teak": 0.00186,
}

_READ = frozenset(
    {"red oak", "white oak", "sugar maple", "red maple", "black walnut", "black cherry", "white ash", "yellow birch",
     "American beech", "red alder", "basswood", "quaking aspen", "silver maple", "bigleaf maple", "pecan hickory",
     "paper birch", "eastern cottonwood", "butternut", "hackberry", "black locust", "sweetgum", "American sycamore"}
)  # fmt: skip


class Movement(NamedTuple):
    """``inches`` over a season, and what the figure rests on."""

    inches: float
    basis: str


@cache
def moisture(humidity: float) -> float:
    """Moisture content in percent of wood in balance with air at 70 degrees F and so many percent of humidity.

    Hailwood and Horrobin's equation with the coefficients of Simpson (1973), as in the Wood Handbook, FPL-GTR-190,
    equation 4-5; read in secondary statements of it. Within 0.07 of that book's table 4-2.
    """
    h = humidity / 100
    w, k, k1, k2 = (a + b * _ROOM + c * _ROOM**2 for a, b, c in _SIMPSON)
    kh, both = k * h, k1 * k2 * (k * h) ** 2
    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * both) / (1 + k1 * kh + both))


_ROOM = 70.0
"""Degrees Fahrenheit. Basis: our own judgement; ten degrees more or less change moisture by a tenth of a percent."""
_SIMPSON = (
    (330, 0.452, 0.00415),
    (0.791, 0.000463, -0.000000844),
    (6.34, 0.000775, -0.0000935),
    (1.09, 0.0284, -0.0000904),
)


def movement(material: Material, across: Fraction | float, humidity: Humidity) -> Movement | None:
    """Change in width over a season of so much solid wood; none in panels, ``None`` where no figure is known."""
    if material.panel:
        return Movement(0.0, "panels hardly move")
    coefficient = _TANGENTIAL.get(material.stands_for)
    if coefficient is None:
        return None
    source = "Wood Handbook, table 13-5" + ("" if material.stands_for in _READ else ", recalled from memory")
    season = f"{humidity.low:g} to {humidity.high:g} percent humidity, of the settings"
    basis = f"{source}: {coefficient:.5f} per percent of moisture in {material.stands_for}; {season}"
    return Movement(float(across) * coefficient * (moisture(humidity.high) - moisture(humidity.low)), basis)
