"""How much solid wood moves across its grain over a season.

``dD = D * C * (M2 - M1)`` with the dimensional change coefficient C for the tangential direction (the width of a
flat-sawn board, the larger) or for the radial one (that of a quarter-sawn board): Wood Handbook, FPL-GTR-190,
equation 13-2 and table 13-5. The coefficients lie in ``rules/figures/movement.toml``.
"""

from fractions import Fraction
from functools import cache
from typing import NamedTuple

from planlint.model.timber import Material
from planlint.model.workshop import Humidity
from planlint.rulebook.figure_tables import figures


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
"""What ``moisture`` reckons with. Basis: published source, told there."""


def movement(material: Material, across: Fraction | float, humidity: Humidity) -> Movement | None:
    """Change in width over a season of so much solid wood; none in panels, ``None`` where no figure is known."""
    if material.panel:
        return Movement(0.0, "panels hardly move")
    row = _coefficients().get(material.stands_for)
    if row is None:
        return None
    coefficient, cut = (
        (row.radial, "quarter-sawn") if material.sawn == "quarter" else (row.tangential, "flat-sawn")
    )
    told = (
        "" if material.sawn == "flat" or cut != "flat-sawn" else ", as the plan does not say how it is sawn"
    )
    source = "Wood Handbook, table 13-5" + ("" if row.read else ", recalled from memory")
    season = f"{humidity.low:g} to {humidity.high:g} percent humidity, of the settings"
    basis = (
        f"{source}: {coefficient:.5f} per percent of moisture in {cut} {material.stands_for}{told}; {season}"
    )
    return Movement(float(across) * coefficient * (moisture(humidity.high) - moisture(humidity.low)), basis)


class _FigureRow(NamedTuple):
    radial: float
    tangential: float
    read: bool


@cache
def _coefficients() -> dict[str, _FigureRow]:
    """Change in width for each percent of moisture, by wood."""
    table = figures("movement")["coefficient"]
    return {wood: _FigureRow(row["radial"], row["tangential"], row["read"]) for wood, row in table.items()}
