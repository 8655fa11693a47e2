"""Parts as they bend: each a row of nodes along its grain, joined by slender beams; a stocky one is a single node.

A node has six unknowns in the piece's axes: three shifts, then three turns. What a point of a part does follows from
the nodes beside it by the shapes that a beam bends in. Lengths in inches, forces in pounds.
"""

from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import cross, dot, minus, plus
from planlint.statics.cut_sections import STOCKY, cut_sections, left_between
from planlint.statics.wood_strength import USUAL_MODULUS, modulus

SHEAR_SHARE = 1 / 16
"""Shear modulus as a share of the modulus along the grain. Basis: our own judgement, of the Wood Handbook's ratios of
0.05 to 0.08 for most woods."""
_NEAR = 0.75
"""Inches nearer than which two nodes are one. Basis: our own judgement, a board's thickness."""
_NODES = 16
"""Nor lie nodes nearer than this share of the length. Basis: held within 1 percent of a model with a node wherever a
spring takes hold."""

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]
Points = Floats | Sequence[Vector]


class BeamPart:
    """One part; ``first`` is the number of its first unknown. Without stations it does not bend."""

    def __init__(self, body: Body, stations: Iterable[float] | None, first: int) -> None:
        part = body.part
        self.body, self.part, self.first = body, part, first
        self.x, self.y = body.grain, body.along(part.across)
        self.z: Vector = cross(self.x, self.y)
        self.axes = np.array((self.x, self.y, self.z))
        self.length, self.width, self.thickness = float(part.length), float(part.width), float(part.thickness)
        found = modulus(part.stock.material)
        self.modulus = USUAL_MODULUS if found is None else found.value
        self.known = found is not None
        self.cut = cut_sections(body)
        self.stocky = self.length < STOCKY * min(self.thickness, self.width)
        self.stiff = self.stocky or stations is None
        self.nodes = (self.length / 2,) if self.stocky or stations is None else _spread(stations, self.length)

    @cached_property
    def start(self) -> Vector:
        """The middle of its low end, in the piece's axes."""
        return plus(self.body.middle, self.x, -self.length / 2)

    @property
    def unknowns(self) -> int:
        return 6 * len(self.nodes)

    @cached_property
    def columns(self) -> Whole:
        """The numbers of its unknowns."""
        return np.arange(self.first, self.first + self.unknowns)

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

    def at(self, station: float) -> Vector:
        """A point of the axis by its place along the grain."""
        return plus(self.start, self.x, station)

    def moves(self, points: Points, ways: Points) -> Floats:
        """How far each of some points goes in its direction: for each a row with the share of each unknown of the
        part. The same shares tell what a force there does to the nodes."""
        away, push = np.asarray(points) - self.start, np.asarray(ways, dtype=float)
        if self.stiff:
            return np.hstack((push, _crossed(away - self.nodes[0] * self.axes[0], push)))
        away, push = away @ self.axes.T, push @ self.axes.T
        station = np.clip(away[:, 0], 0.0, self.length)
        away[:, 0] -= station
        turn = _crossed(away, push)
        nodes, each = np.array(self.nodes), np.arange(len(points))
        number = np.searchsorted(nodes[1:-1], station)
        long = nodes[number + 1] - nodes[number]
        r = (station - nodes[number]) / long
        # A point; a node; its shift and turn; an axis of the part.
        shares = np.zeros((len(points), len(nodes), 2, 3))
        shares[each, number] = _shared(r, long, push, turn)
        shares[each, number + 1] = _shared(1 - r, -long, push, turn)
        found: Floats = (shares @ self.axes).reshape(len(points), self.unknowns)
        return found

    def springs(self) -> tuple[Floats, Floats]:
        """The stiffness of its beams: movements, as ``moves`` tells them, and what each inch (or turn) of them costs.

        A slender beam's twelve by twelve matrix told as six independent strains: stretch, twist, and for each way of
        bending the even and the uneven one. The chord's own lean is taken off both ends' turns.
        """
        many = len(self.nodes) - 1
        long, at = np.diff(self.nodes), np.arange(many)
        # A beam; a strain; a node; its shift and turn; an axis of the part.
        strains = np.zeros((many, 6, many + 1, 2, 3))
        for strain, kind, axis in ((0, 0, 0), (1, 1, 0), (2, 1, 2), (4, 1, 1)):
            strains[at, strain, at, kind, axis], strains[at, strain, at + 1, kind, axis] = -1.0, 1.0
        for strain, turn, shift, lean in ((3, 2, 1, 2.0 / long), (5, 1, 2, -2.0 / long)):
            strains[at, strain, at, 1, turn] = strains[at, strain, at + 1, 1, turn] = 1.0
            strains[at, strain, at, 0, shift], strains[at, strain, at + 1, 0, shift] = lean, -lean
        b, t = max(self.width, self.thickness), min(self.width, self.thickness)
        torsion = b * t**3 * (1 / 3 - 0.21 * t / b * (1 - t**4 / (12 * b**4)))
        costs = np.zeros((many, 6))
        costs[:, 0], costs[:, 1] = self.modulus * b * t, SHEAR_SHARE * self.modulus * torsion
        for n, (low, high) in enumerate(pairwise(self.nodes)):
            through, edgewise = self.flexure_between(low, high)
            costs[n, 2:] = edgewise, 3 * edgewise, through, 3 * through
        return (strains @ self.axes).reshape(6 * many, self.unknowns), (costs / long[:, None]).ravel()

    def spread_force(self, total: Vector) -> Floats:
        """A force spread evenly over its length, as forces and turning moments at its nodes."""
        force = np.array(total)
        found = np.zeros((len(self.nodes), 2, 3))
        if self.stiff:
            found[0, 0] = force
        else:
            long = np.diff(self.nodes)[:, None]
            turns = np.array(cross(self.x, total)) * long**2 / (12 * self.length)
            for ends, sign in ((slice(None, -1), 1.0), (slice(1, None), -1.0)):
                found[ends, 0] += force * long / (2 * self.length)
                found[ends, 1] += sign * turns
        return found.ravel()


def _crossed(one: Floats, other: Floats) -> Floats:
    """Products row by row: as ``numpy.cross``, which takes three times as long for so few."""
    (a, b, c), (u, v, w) = one.T, other.T
    return np.stack((b * w - c * v, c * u - a * w, a * v - b * u), axis=1)


def _shared(r: Floats, long: Floats, push: Floats, turn: Floats) -> Floats:
    """What the node that lies ``r`` of a beam's length away takes of a force and a turning moment on its axis: by the
    cubics that it bends in. The node of the high end is told as the low one of the beam seen from there."""
    bend, lean = 1 - 3 * r**2 + 2 * r**3, long * (r - 2 * r**2 + r**3)
    slope, twist = (6 * r**2 - 6 * r) / long, 1 - 4 * r + 3 * r**2
    run = 1 - r
    force = (run * push[:, 0], bend * push[:, 1] + slope * turn[:, 2], bend * push[:, 2] - slope * turn[:, 1])
    moment = (
        run * turn[:, 0],
        twist * turn[:, 1] - lean * push[:, 2],
        twist * turn[:, 2] + lean * push[:, 1],
    )
    return np.stack((np.stack(force, axis=1), np.stack(moment, axis=1)), axis=1)


def _spread(stations: Iterable[float], length: float) -> tuple[float, ...]:
    """Both ends, and what stations lie no nearer to those before them than two nodes may."""
    apart = max(_NEAR, length / _NODES)
    found = [0.0]
    for station in sorted({*stations}):
        if station - found[-1] >= apart and length - station >= apart:
            found.append(station)
    return (*found, length)
