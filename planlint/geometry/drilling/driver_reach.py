"""Whether a driver can stand behind a pocket, and which parts are in its way.

The corridor runs from the shoulder, where the screw's head bears, back along its axis, or leaning from it as far as a
bit may lean: first the bit, then the drill's body, both round and flat-ended. Walls and floors are left out of it: a
piece is put together at the bench and then carried to its place.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import cos, pi, radians, sin
from typing import NamedTuple

from planlint.geometry.joint_facts import Pocket, Vector
from planlint.geometry.shapes.body import Body, Box, Cell
from planlint.geometry.shapes.box_index import BoxTree, bounding_box, box_round, boxes_meet
from planlint.geometry.shapes.convex import disc, gap_between, point
from planlint.geometry.shapes.polygons import cell_corners
from planlint.geometry.shapes.segments import segment_to_box
from planlint.geometry.shapes.vectors import minus, norm, plus, scaled, unit
from planlint.model.workshop import DrillingProfile, SetUp


class Corridor(NamedTuple):
    """The room one screw needs: two round bodies on one line, behind the shoulder."""

    shoulder: Vector
    bit_end: Vector
    drill_end: Vector
    bit_radius: float
    drill_radius: float


LEANS = 8
"""Ways in which a bit that leans is tried, all round the screw. Basis: our own judgement."""


def corridor(
    pocket: Pocket, profile: DrillingProfile, set_up: SetUp | None = None, lean: int | None = None
) -> Corridor:
    """The corridor of a pocket with the usual bit and driver or with others, straight behind the screw or leaning as
    far as it may, one of ``LEANS`` ways.

    The bit's first inches stand inside the bore, and beside the wood that it leaves.
    """
    set_up = set_up or SetUp(profile.bits[0], *profile.drivers[0])
    direction = pocket.direction
    if lean is not None:
        turn, by = 2 * pi * lean / LEANS, radians(profile.lean)
        rim = disc(pocket.shoulder, direction, 1.0)
        aside = plus(scaled(rim.u, cos(turn)), rim.v, sin(turn))
        direction = unit(plus(scaled(direction, cos(by)), aside, sin(by)))
    bit_end = plus(pocket.shoulder, direction, -set_up.bit)
    drill_end = plus(bit_end, direction, -set_up.driver_length)
    return Corridor(pocket.shoulder, bit_end, drill_end, profile.shank_diameter / 2, set_up.driver_width / 2)


def corridors(
    pocket: Pocket, profile: DrillingProfile, pairs: Iterable[SetUp] | None = None
) -> Iterator[tuple[SetUp, Corridor]]:
    """Every way to drive a pocket's screw, the usual one first, or those of some pairs; of each bit and driver the
    straight one first."""
    for set_up in profile.set_ups if pairs is None else pairs:
        yield set_up, corridor(pocket, profile, set_up)
        if profile.lean:
            for lean in range(LEANS):
                yield set_up, corridor(pocket, profile, set_up, lean)


def in_the_way(way: Corridor, body: Body) -> bool:
    """Whether a body stands in a corridor; touching is not in the way."""
    return next(cells_in_the_way(way, body), None) is not None


def cells_in_the_way(way: Corridor, body: Body) -> Iterator[tuple[int, int]]:
    """The cells of a body that stand in a corridor, each with what they stand in: bit (0) or driver (1).

    Each is convex: what stands in the corridors at both ends of a row stands in all between them.
    """
    rods = ((way.shoulder, way.bit_end, way.bit_radius), (way.bit_end, way.drill_end, way.drill_radius))
    own = [(body.to_own(a), body.to_own(b), radius) for a, b, radius in rods]
    for number, cell in enumerate(body.own_cells):
        for rod, (a, b, radius) in enumerate(own):
            # Rounded off, a rod is a little more than it is: where even that is clear, so is the rod.
            if segment_to_box(a, b, cell.box) < radius - _ROUNDED_OFF and _rod_in_cell(a, b, radius, cell):
                yield number, rod


_ROUNDED_OFF = 1e-5
"""Inches by which a body may stand in a corridor through rounding alone."""


def _rod_in_cell(a: Vector, b: Vector, radius: float, cell: Cell) -> bool:
    """Whether a flat-ended rod (own frame) runs into a cell as the part's slanted ends leave it."""
    along = minus(b, a)
    if norm(along) < 2 * _ROUNDED_OFF:
        return False
    axis = unit(along)
    rod = (
        disc(plus(a, axis, _ROUNDED_OFF), axis, radius - _ROUNDED_OFF),
        disc(plus(b, axis, -_ROUNDED_OFF), axis, radius - _ROUNDED_OFF),
    )
    hull = tuple(map(point, cell_corners(cell)))
    return bool(hull) and gap_between(rod, hull, _ROUNDED_OFF) < _ROUNDED_OFF / 2


class Blockers:
    """All bodies of a piece, asked which of them stand behind a row of pockets."""

    def __init__(self, bodies: Sequence[Body]) -> None:
        self._bodies = bodies
        self._tree = BoxTree([body.bounds for body in bodies])

    def of_way(self, pocket: Pocket, way: Corridor) -> frozenset[int]:
        """Indices of the parts in one corridor of a pocket, the joint's own two left out."""
        own, bounds = (pocket.part.index, pocket.into.index), _bounds(way)
        return frozenset(
            i for i in self._tree.near(bounds) if i not in own and in_the_way(way, self._bodies[i])
        )

    def of(self, row: Sequence[Pocket], profile: DrillingProfile) -> list[int]:
        """Indices of the parts in the way of any corridor of a row of pockets, the joint's own two left out."""
        own = (row[0].part.index, row[0].into.index)
        ways = [(way, _bounds(way)) for way in (corridor(pocket, profile) for pocket in row)]
        # The first and the last corridor hold all others between them.
        near = self._tree.near(bounding_box([*ways[0][1], *ways[-1][1]]))
        return [
            i
            for i in sorted(set(near).difference(own))
            if any(
                boxes_meet(bounds, self._bodies[i].bounds) and in_the_way(way, self._bodies[i])
                for way, bounds in ways
            )
        ]


def _bounds(way: Corridor) -> Box:
    reach = max(way.bit_radius, way.drill_radius)
    return box_round(way.shoulder, way.drill_end, reach)
