"""Parts as they bend: each a row of nodes along its grain, joined by slender beams; a stocky one is a single node.

A node has six unknowns in the piece's axes: three shifts, then three turns. What a point of a part does follows from
the nodes beside it by the shapes that a beam bends in. Lengths in inches, forces in pounds.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from itertools import pairwise

from planlint.geometry.facts import Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import AXES, cross, dot, minus, plus, scaled
from planlint.statics.cut_sections import cut_sections, left_between
from planlint.statics.wood_strength import USUAL_MODULUS, modulus

STOCKY = 6.0
"""A part shorter than so many of its thicknesses does not bend. Basis: our own judgement."""
SHEAR_SHARE = 1 / 16
"""Shear modulus as a share of the modulus along the grain. Basis: our own judgement, of the Wood Handbook's ratios of
0.05 to 0.08 for most woods."""
_NEAR = 0.75
"""Inches nearer than which two nodes are one. Basis: our own judgement, a board's thickness."""
_NODES = 16
"""Nor lie nodes nearer than this share of the length. Basis: held within 1 percent of a model with a node wherever a
spring takes hold."""


Row = dict[int, float]
"""What a movement is made of: the share of each unknown."""


class BeamPart:
    """One part; ``first`` is the number of its first unknown."""

    def __init__(self, body: Body, stations: Iterable[float], first: int) -> None:
        part = body.part
        self.body, self.part, self.first = body, part, first
        self.x, self.y = body.grain, body.along(part.across)
        self.z: Vector = cross(self.x, self.y)
        self.length, self.width, self.thickness = float(part.length), float(part.width), float(part.thickness)
        found = modulus(part.stock.material)
        self.modulus = USUAL_MODULUS if found is None else found.value
        self.known = found is not None
        self.cut = cut_sections(body)
        self.stiff = self.length < STOCKY * min(self.thickness, self.width)
        self.nodes = (self.length / 2,) if self.stiff else _spread(stations, self.length)
        self._known: dict[Vector, list[tuple[int, Vector]]] = {}
        self._known_shapes: dict[float, list[tuple[int, list[Vector], list[Vector]]]] = {}

    @cached_property
    def start(self) -> Vector:
        """The middle of its low end, in the piece's axes."""
        return plus(self.body.middle, self.x, -self.length / 2)

    @property
    def unknowns(self) -> int:
        return 6 * len(self.nodes)

    @property
    def flexure(self) -> tuple[float, float]:
        """E I against bending through the face, and edgewise, where nothing is cut away: pounds times square inches."""
        b, t = self.width, self.thickness
        return self.modulus * b * t**3 / 12, self.modulus * t * b**3 / 12

    def flexure_between(self, low: float, high: float) -> tuple[float, float]:
        """The same from one station to another, less what is cut away there."""
        left = left_between(self.cut, low, high)
        return self.flexure[0] * left[0], self.flexure[1] * left[1]

    def station(self, point: Vector) -> float:
        """How far along the grain a point lies."""
        return dot(minus(point, self.start), self.x)

    def at(self, station: float, y: float = 0.0, z: float = 0.0) -> Vector:
        """A point by its place along the grain, across it, and through the face, from the axis."""
        return plus(plus(plus(self.start, self.x, station), self.y, y), self.z, z)

    # ------------------------------------------------------------ how a point moves

    def moves(self, point: Vector, direction: Vector) -> Row:
        """How far a point of the part goes in a direction, by the unknowns of its nodes."""
        known = self._known.get(point)
        if known is None:
            known = self._known[point] = self._motion(point)
        x, y, z = direction
        return {each: x * a + y * b + z * c for each, (a, b, c) in known}

    def _motion(self, point: Vector) -> list[tuple[int, Vector]]:
        """Where each unknown takes a point."""
        station = min(max(self.station(point), 0.0), self.length)
        if self.stiff:
            arm = minus(point, self.at(self.nodes[0]))
            return [(self.first + n, each) for n, each in enumerate((*AXES, *(cross(u, arm) for u in AXES)))]
        arm = minus(point, self.at(station))
        return [
            (at + n, plus(shift[n], cross(turn[n], arm)))
            for at, shift, turn in self._shapes(round(station, 6))
            for n in range(6)
        ]

    def _between(self, station: float) -> tuple[int, float, float]:
        for number, (low, high) in enumerate(pairwise(self.nodes)):
            if station <= high or number == len(self.nodes) - 2:
                return number, low, high
        raise AssertionError

    def _shapes(self, station: float) -> list[tuple[int, list[Vector], list[Vector]]]:
        """For the nodes on both sides of a station, by their first unknowns: what each of their six shifts the axis by,
        and turns it by."""
        known = self._known_shapes.get(station)
        if known is not None:
            return known
        number, low, high = self._between(station)
        long = high - low
        r = (station - low) / long
        bend = (1 - 3 * r * r + 2 * r**3, r * r * (3 - 2 * r))
        lean = (long * (r - 2 * r * r + r**3), long * (r**3 - r * r))
        slope = ((6 * r * r - 6 * r) / long, (6 * r - 6 * r * r) / long)
        twist = (1 - 4 * r + 3 * r * r, 3 * r * r - 2 * r)
        run = (1 - r, r)
        shapes = []
        for node in (0, 1):
            shift: list[Vector] = []
            turn: list[Vector] = []
            for axis in range(3):
                u, v, w = self.x[axis], self.y[axis], self.z[axis]
                shift.append(
                    plus(
                        scaled(self.x, u * run[node]),
                        plus(scaled(self.y, v * bend[node]), self.z, w * bend[node]),
                    )
                )
                # The axis leans as it shifts: about z by what it goes along y, about y against what it goes along z.
                turn.append(plus(scaled(self.z, v * slope[node]), self.y, -w * slope[node]))
            for axis in range(3):
                u, v, w = self.x[axis], self.y[axis], self.z[axis]
                shift.append(plus(scaled(self.y, w * lean[node]), self.z, -v * lean[node]))
                turn.append(
                    plus(
                        scaled(self.x, u * run[node]),
                        plus(scaled(self.y, v * twist[node]), self.z, w * twist[node]),
                    )
                )
            shapes.append((self.first + 6 * (number + node), shift, turn))
        self._known_shapes[station] = shapes
        return shapes

    # ------------------------------------------------------------ stiffness and what lies along it

    def springs(self) -> Iterable[tuple[Row, float]]:
        """The stiffness of its beams: rows of movements, and what each inch (or turn) of them costs.

        A slender beam's twelve by twelve matrix told as six independent strains: stretch, twist, and for each way of
        bending the even and the uneven one.
        """
        if self.stiff:
            return
        b, t = max(self.width, self.thickness), min(self.width, self.thickness)
        torsion = b * t**3 * (1 / 3 - 0.21 * t / b * (1 - t**4 / (12 * b**4)))
        for number, (low, high) in enumerate(pairwise(self.nodes)):
            long = high - low
            at = self.first + 6 * number
            through, edgewise = self.flexure_between(low, high)
            yield (
                self._strain(at, [(6, self.x, 1.0), (0, self.x, -1.0)]),
                self.modulus * b * t / long,
            )
            yield (
                self._strain(at, [(9, self.x, 1.0), (3, self.x, -1.0)]),
                SHEAR_SHARE * self.modulus * torsion / long,
            )
            for flex, shift, turn, sign in (
                (edgewise, self.y, self.z, 1.0),
                (through, self.z, self.y, -1.0),
            ):
                yield self._strain(at, [(9, turn, 1.0), (3, turn, -1.0)]), flex / long
                # The chord's own lean is taken off both ends' turns.
                yield (
                    self._strain(
                        at,
                        [
                            (9, turn, 1.0),
                            (3, turn, 1.0),
                            (6, shift, -2.0 * sign / long),
                            (0, shift, 2.0 * sign / long),
                        ],
                    ),
                    3 * flex / long,
                )

    @staticmethod
    def _strain(at: int, terms: Iterable[tuple[int, Vector, float]]) -> Row:
        row: Row = {}
        for offset, direction, times in terms:
            for axis in range(3):
                if direction[axis]:
                    row[at + offset + axis] = row.get(at + offset + axis, 0.0) + times * direction[axis]
        return row

    def spread_force(self, total: Vector) -> Row:
        """A force spread evenly over its length, as forces and turning moments at its nodes."""
        if self.stiff:
            return {self.first + axis: total[axis] for axis in range(3)}
        row: Row = {}
        for number, (low, high) in enumerate(pairwise(self.nodes)):
            long = high - low
            share = scaled(total, long / self.length)
            turn = scaled(cross(self.x, share), long / 12)
            for node, sign in ((0, 1.0), (1, -1.0)):
                at = self.first + 6 * (number + node)
                for axis in range(3):
                    row[at + axis] = row.get(at + axis, 0.0) + share[axis] / 2
                    row[at + 3 + axis] = row.get(at + 3 + axis, 0.0) + sign * turn[axis]
        return row

    def force_at(self, point: Vector, force: Vector) -> Row:
        """A force at one of its points, likewise."""
        size = dot(force, force) ** 0.5
        if not size:
            return {}
        row = self.moves(point, scaled(force, 1 / size))
        return {each: size * share for each, share in row.items()}


def _spread(stations: Iterable[float], length: float) -> tuple[float, ...]:
    """Both ends, and what stations lie no nearer to those before them than two nodes may."""
    apart = max(_NEAR, length / _NODES)
    found = [0.0]
    for station in sorted({*stations}):
        if station - found[-1] >= apart and length - station >= apart:
            found.append(station)
    return (*found, length)
