"""Whether a driver can stand behind a pocket, and which parts are in its way.

The corridor runs from the screw's head back along its axis: first the driver bit, then the drill's body.
"""

from __future__ import annotations

from typing import NamedTuple

from planlint.geometry.body import Body, Box
from planlint.geometry.index import BoxTree
from planlint.geometry.segments import segment_to_box
from planlint.geometry.types import Pocket, Vector
from planlint.geometry.vectors import plus
from planlint.model.settings import DrillingProfile


class Corridor(NamedTuple):
    """The room one screw needs: two round bodies on one line, behind the mouth."""

    pocket: Pocket
    mouth: Vector
    bit_end: Vector
    drill_end: Vector
    bit_radius: float
    drill_radius: float


def corridor(pocket: Pocket, profile: DrillingProfile) -> Corridor:
    """The corridor of a pocket; the bit's first inches stand inside the bore, down to the screw's head."""
    bit_end = plus(pocket.shoulder, pocket.direction, -profile.driver_length)
    drill_end = plus(bit_end, pocket.direction, -profile.drill_length)
    return Corridor(
        pocket, pocket.mouth, bit_end, drill_end, profile.driver_diameter / 2, profile.drill_diameter / 2
    )


def in_the_way(way: Corridor, body: Body) -> bool:
    """Whether a body stands in a corridor; touching is not in the way."""
    mouth, bit_end, drill_end = (body.to_own(point) for point in (way.mouth, way.bit_end, way.drill_end))
    for cell in body.own_cells:
        if segment_to_box(mouth, bit_end, cell) < way.bit_radius - _TOUCH:
            return True
        if segment_to_box(bit_end, drill_end, cell) < way.drill_radius - _TOUCH:
            return True
    return False


_TOUCH = 1e-6


class Blockers:
    """All bodies of a piece, asked which of them stand in a corridor."""

    def __init__(self, bodies: tuple[Body, ...]) -> None:
        self._bodies = bodies
        self._tree = BoxTree([body.bounds for body in bodies])

    def of(self, way: Corridor) -> list[Body]:
        """Bodies in the way, the pocket's own two parts left out, in the order of the plan."""
        own = (way.pocket.part.index, way.pocket.into.index)
        near = self._tree.near(_bounds(way))
        return [self._bodies[i] for i in sorted(near) if i not in own and in_the_way(way, self._bodies[i])]


def _bounds(way: Corridor) -> Box:
    reach = max(way.bit_radius, way.drill_radius)
    points = (way.mouth, way.drill_end)
    low = tuple(min(p[i] for p in points) - reach for i in range(3))
    high = tuple(max(p[i] for p in points) + reach for i in range(3))
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))
