"""How stiff and how heavy wood and panels are: the table ``rules/figures/strength.toml`` for a material."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from planlint.model.seasonal_movement import moisture
from planlint.model.timber import Material
from planlint.model.workshop import Humidity
from planlint.rulebook.figure_tables import figures

WATER = 62.428 / 1728
"""Pounds in a cubic inch of water: 62.428 lb per cubic foot, 1000 kg per cubic metre."""
USUAL_MODULUS = 1_200_000.0
"""psi for a wood of which no modulus is known, so that loads still find their way past it: what bends it is then not
judged. Basis: our own judgement, that of a soft pine."""
USUAL_GRAVITY = 0.45
"""Likewise for its weight."""
_DRYING = (30 - 12) / 30 * 0.265


class Figure(NamedTuple):
    """A value and what it rests on."""

    value: float
    basis: str
    breaks: bool = False
    """Whether it is where wood breaks, of which so many times less may be borne."""


def _row(material: Material) -> Mapping[str, Any]:
    table = figures("strength")
    rows: Mapping[str, Mapping[str, Any]] = table["panel" if material.panel else "wood"]
    return rows.get(material.bare) or rows.get(material.stands_for) or {}


def _figure(row: Mapping[str, Any], name: str) -> Figure | None:
    """A figure with its source; one that was not read there says so."""
    value, source = row.get(name), row.get(f"{name.removesuffix('_psi')}_from", "")
    if value is None:
        return None
    read = row.get(f"{name.removesuffix('_psi')}_read", False)
    return Figure(float(value), source if read else f"{source}, recalled from memory")


def modulus(material: Material) -> Figure | None:
    """Modulus of elasticity along the grain in psi; ``None`` where no figure is known."""
    return _figure(_row(material), "modulus_psi")


def rupture(material: Material) -> Figure | None:
    """Modulus of rupture along the grain in psi; where none is published, what the wood's weight tells of it."""
    found = _figure(_row(material), "rupture_psi")
    light = gravity(material)
    if found is not None or light is None or material.panel:
        return found
    by = figures("strength")["rupture_by_gravity"]
    whole = _figure(by, "rupture_psi")
    return whole and Figure(whole.value * light.value ** by["power"], whole.basis)


def gravity(material: Material) -> Figure | None:
    """Specific gravity at 12 percent of moisture, of panels the middle of the range; ``None`` where it is not known."""
    row = _row(material)
    found = _figure(row, "gravity")
    if found is not None:
        return found
    if material.solid and material.specific_gravity is not None:
        return Figure(material.specific_gravity, material.basis)
    green = _figure(row, "green_gravity")
    if green is None:
        return None
    return Figure(
        green.value / (1 - _DRYING * green.value), f"worked out from the green wood's: {green.basis}"
    )


def density(material: Material, humidity: Humidity) -> Figure | None:
    """Pounds in a cubic inch at the middle of the shop's humidity; ``None`` where it is not known."""
    found = gravity(material)
    if found is None:
        return None
    wet = moisture((humidity.low + humidity.high) / 2) / 100
    return Figure(WATER * found.value * (1 + wet), found.basis)


def screw_gravity(material: Material) -> Figure | None:
    """G as the NDS asks for it; where its tables do not name the wood, that at 12 percent, which is a little less."""
    return _figure(_row(material), "nds_gravity") or (gravity(material) if material.solid else None)
