"""The second oracle's own placing and solids: where boards lie by least squares, what they are by manifold3d.

From the reference alone; the fixture's numbers are those that ``planlint settings`` tells. Lengths in inches.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise, product
from math import cos, pi, radians, sin

import numpy as np
from manifold3d import Manifold
from numpy.typing import NDArray

from tests.oracle_reader import Board, Joint, Row, Scene, Side

Array = NDArray[np.float64]
SQUARES: list[Side] = [(axis, sign) for axis in range(3) for sign in (-1, 1)]
ANGLE, BIT, PILOT = radians(15), 3 / 8, 9 / 64
LEAST_SETBACK, SETBACK_RATIO = 1 / 2, 5 / 6
DRIVER, DRIVER_WIDE, DRILL, DRILL_WIDE = 6.0, 1 / 4, 8.0, 2.0
LEAN = radians(3)
GAUGES = {"coarse": 8, "fine": 7}
POINT_DIAMETERS = 2.0
ROUND = 48
"""Corners of a circle: the flats of its hull lie 0.4 thousandths inside a bore's wall."""
_TURNS = np.arange(ROUND) * 2 * pi / ROUND
_CIRCLE = np.stack([np.cos(_TURNS), np.sin(_TURNS)], axis=1)


def unit(way: Array) -> Array:
    return np.asarray(way / np.linalg.norm(way))


@dataclass
class Placed:
    """A board where it lies: ``at`` is the low corner of its box before it is turned about its middle."""

    board: Board
    at: Array
    _planes: dict[tuple[Side, bool], tuple[Array, float]] = field(default_factory=dict)

    @cached_property
    def size(self) -> Array:
        return np.array([float(each) for each in self.board.size])

    @cached_property
    def turning(self) -> Array:
        if self.board.turn is None:
            return np.eye(3)
        axis, angle = self.board.turn
        c, s = cos(radians(angle)), sin(radians(angle))
        i, j = (axis + 1) % 3, (axis + 2) % 3
        matrix = np.eye(3)
        matrix[i, i], matrix[i, j], matrix[j, i], matrix[j, j] = c, -s, s, c
        return matrix

    def out(self, own: Array) -> Array:
        """Points of its own frame in the piece."""
        return np.asarray((own - self.size / 2) @ self.turning.T + self.size / 2 + self.at)

    def own_plane(self, side: Side, box: bool = False) -> tuple[Array, Array]:
        """Outward normal and a point, in its own frame."""
        axis, sign = side
        normal, point = np.zeros(3), np.zeros(3)
        normal[axis] = sign
        point[axis] = self.size[axis] if sign > 0 else 0.0
        cut = None if box else self.board.cut_at(side)
        if cut is not None:
            angle, (over, long_sign) = cut
            normal[axis], normal[over] = sign * cos(radians(angle)), -long_sign * sin(radians(angle))
            point[over] = self.size[over] if long_sign > 0 else 0.0
        return normal, point

    def plane(self, side: Side, box: bool = False) -> tuple[Array, float]:
        """Outward normal and offset in the piece."""
        if (side, box) not in self._planes:
            self._planes[side, box] = self._plane(side, box)
        return self._planes[side, box]

    def _plane(self, side: Side, box: bool) -> tuple[Array, float]:
        normal, point = self.own_plane(side, box)
        normal = self.turning @ normal
        return normal, float(normal @ self.out(point[None, :])[0])

    @property
    def grain(self) -> Array:
        return np.asarray(self.turning[:, self.board.grain])

    def _solid(self, own: Manifold) -> Manifold:
        shift = self.size / 2 + self.at - self.turning @ (self.size / 2)
        return own.transform(np.column_stack([self.turning, shift]))

    @cached_property
    def _own_sawn(self) -> Manifold:
        wood = Manifold.cube(self.size.tolist())
        for end, _, _ in self.board.cuts:
            normal, point = self.own_plane(end)
            wood = wood.trim_by_plane((-normal).tolist(), float(-normal @ point))
        return wood

    @cached_property
    def sawn(self) -> Manifold:
        """The box with its slanted ends, before anything else is taken away: convex."""
        return self._solid(self._own_sawn)

    @cached_property
    def blocks(self) -> list[Manifold]:
        """What rabbets, grooves, dados and notches took, each by itself, wider than the wood it was taken from."""
        found = []
        for low, high in self.board.gone:
            bottom = [float(a) - 2.0 * (a == 0) for a in low]
            top = [float(b) + 2.0 * (b == size) for b, size in zip(high, self.board.size, strict=True)]
            block = Manifold.cube([b - a for a, b in zip(bottom, top, strict=True)]).translate(bottom)
            found.append(self._solid(block))
        return found

    @cached_property
    def taken(self) -> list[Manifold]:
        return [block ^ self.sawn for block in self.blocks]

    @cached_property
    def wood(self) -> Manifold:
        wood = self.sawn
        for block in self.blocks:
            wood = wood - block
        return wood

    @cached_property
    def corners(self) -> Array:
        if any(angle for _, angle, _ in self.board.cuts):
            return vertices(self.sawn)
        return self.out(np.array(list(product(*((0.0, each) for each in self.size)))))

    def walls(self) -> list[tuple[Array, float]]:
        """All planes in which wood may end, in the piece."""
        return self._walls

    @cached_property
    def _walls(self) -> list[tuple[Array, float]]:
        found = [self.plane(side) for side in SQUARES]
        for low, high in self.board.gone:
            for axis, (a, b) in enumerate(zip(low, high, strict=True)):
                for at in (float(a), float(b)):
                    normal, point = np.zeros(3), np.zeros(3)
                    normal[axis], point[axis] = 1.0, at
                    way = self.turning @ normal
                    found.append((way, float(way @ self.out(point[None, :])[0])))
        return found

    def holds(self, points: Array) -> NDArray[np.bool_]:
        """Which points lie inside the wood."""
        inside = np.ones(len(points), dtype=bool)
        for side in SQUARES:
            normal, offset = self.plane(side)
            inside &= points @ normal < offset
        own = (points - self.at - self.size / 2) @ self.turning + self.size / 2
        for low, high in self.board.gone:
            a, b = np.array([float(x) for x in low]), np.array([float(x) for x in high])
            inside &= ~np.all((own > a) & (own < b), axis=1)
        return inside

    def runs(self, start: Array, way: Array, reach: float) -> list[tuple[float, float]]:
        """Where a line runs in wood, as distances from its start up to ``reach``."""
        if reach <= 0:
            return []
        marks = {0.0, reach}
        for normal, offset in self.walls():
            if abs(slope := float(normal @ way)) > 1e-9:
                at = (offset - float(normal @ start)) / slope
                if 0 < at < reach:
                    marks.add(at)
        steps = sorted(marks)
        middles = np.array([start + way * (a + b) / 2 for a, b in pairwise(steps)])
        found: list[tuple[float, float]] = []
        for (a, b), inside in zip(pairwise(steps), self.holds(middles), strict=True):
            if inside and found and found[-1][1] == a:
                found[-1] = found[-1][0], b
            elif inside:
                found.append((a, b))
        return found


def vertices(solid: Manifold) -> Array:
    return np.asarray(solid.to_mesh64().vert_properties)[:, :3]


# ---------------------------------------------------------------- placing


@dataclass
class Piece:
    placed: dict[str, Placed]
    joints: list[Joint]
    misfit: float = 0.0
    """The largest amount by which an equation cannot be met."""
    loose: bool = False
    askew: set[str] = field(default_factory=set)


def place(scene: Scene) -> Piece:
    """Each join's sides in one plane, each placing a distance between two lines in it."""
    names = list(scene.boards)
    at_origin = {name: Placed(board, np.zeros(3)) for name, board in scene.boards.items()}
    rows: list[Array] = []
    values: list[float] = []
    askew = set()
    for joint in scene.joints:
        a, b = at_origin[joint.a], at_origin[joint.b]
        normal, offset = a.plane(joint.side_a)
        other, beyond = b.plane(joint.side_b)
        if normal @ other > -0.9999985:
            askew.add(joint.name)
            continue
        # A's plane lies `inset` behind B's.
        rows.append(_row(names, joint, normal))
        values.append(-beyond + float(joint.inset) - offset)
        for side, inset in joint.sides:
            line_a, line_b = _line(a, joint.side_a, side), _line(b, joint.side_b, side)
            if line_a is not None and line_b is not None and side[0] != _square_axis(a, b, joint):
                way = line_a[0]
                rows.append(_row(names, joint, way))
                values.append(float(way @ line_b[1] - way @ line_a[1]) - float(inset))
        for axis in joint.centred:
            lines = [_line(a, joint.side_a, (axis, sign)) for sign in (-1, 1)]
            theirs = [_line(b, joint.side_b, (axis, sign)) for sign in (-1, 1)]
            if all(each is not None for each in (*lines, *theirs)):
                way = lines[1][0]  # type: ignore[index]
                middle_a, middle_b = ((p[1] + q[1]) / 2 for p, q in (lines, theirs))  # type: ignore[index]
                rows.append(_row(names, joint, way))
                values.append(float(way @ (middle_b - middle_a)))
    if askew:
        return Piece(at_origin, scene.joints, askew=askew)
    matrix, right = np.array(rows), np.array(values)
    fixed = matrix[:, 3:]
    found, _, rank, _ = np.linalg.lstsq(fixed, right, rcond=None)
    places = np.concatenate([np.zeros(3), found]).reshape(-1, 3)
    placed = {
        name: Placed(board, place) for (name, board), place in zip(scene.boards.items(), places, strict=True)
    }
    worst = float(np.sum(np.abs(fixed @ found - right)))
    return Piece(placed, scene.joints, worst, rank < fixed.shape[1], askew)


def _row(names: list[str], joint: Joint, way: Array) -> Array:
    row = np.zeros(3 * len(names))
    for name, sign in ((joint.a, 1.0), (joint.b, -1.0)):
        at = 3 * names.index(name)
        row[at : at + 3] += sign * way
    return row


def _square_axis(a: Placed, b: Placed, joint: Joint) -> int | None:
    """The axis square to a joint of two square, unturned sides: along it nothing can be placed."""
    plain = a.board.turn is None and b.board.turn is None
    cut = a.board.cut_at(joint.side_a) or b.board.cut_at(joint.side_b)
    return joint.side_a[0] if plain and not cut else None


def _line(part: Placed, contact: Side, side: Side) -> tuple[Array, Array] | None:
    """Where a side of the box cuts the joint plane: the way out of it in that plane, and a point of it.

    Between parts that are not turned the boxes are compared, along the axis itself.
    """
    normal, offset = part.plane(side, box=True)
    if part.board.turn is None:
        return normal, normal * offset
    joint, depth = part.plane(contact)
    way = normal - joint * (joint @ normal)
    if np.linalg.norm(way) < 1e-6:
        return None
    way = unit(way)
    foot = part.out(part.size[None, :] / 2)[0]
    foot = foot + joint * (depth - joint @ foot)
    return way, foot + way * ((offset - normal @ foot) / (normal @ way))


# ---------------------------------------------------------------- pockets


def circle(centre: Array, axis: Array, radius: float) -> Array:
    x, y, z = axis
    u = unit(np.array([y * 0.8 - z * 0.5, z * 0.3 - x * 0.8, x * 0.5 - y * 0.3]))
    a, b, c = u
    v = np.array([y * c - z * b, z * a - x * c, x * b - y * a])
    return np.asarray(centre + radius * (_CIRCLE @ np.stack([u, v])))


def onto(points: Array, way: Array, plane: tuple[Array, float]) -> Array:
    """Points moved along a direction until they lie in a plane."""
    normal, offset = plane
    return np.asarray(points + np.outer((offset - points @ normal) / (way @ normal), way))


@dataclass
class Hole:
    """A convex round solid by its points; the solid itself is built only where it is asked for."""

    points: Array
    trims: list[tuple[Array, float]] = field(default_factory=list)
    """Planes that it lies inside."""

    @cached_property
    def solid(self) -> Manifold:
        solid = Manifold.hull_points(self.points)
        for normal, offset in self.trims:
            solid = solid.trim_by_plane((-normal).tolist(), -offset)
        return solid

    @cached_property
    def corners(self) -> Array:
        return vertices(self.solid) if self.trims else self.points

    @cached_property
    def bounds(self) -> tuple[Array, Array]:
        return self.corners.min(axis=0), self.corners.max(axis=0)

    def near(self, solid: Manifold, reach: float) -> bool:
        """Whether the boxes round the two come within ``reach``."""
        box, (low, high) = np.array(solid.bounding_box()), self.bounds
        return bool(np.all(low - reach <= box[3:]) and np.all(box[:3] - reach <= high))

    def gap(self, other: Manifold, far: float) -> float:
        return float(self.solid.min_gap(other, far)) if self.near(other, far) else far


@dataclass
class Pocket:
    """One pocket and its screw, with the part that is drilled and the part that takes the screw."""

    joint: Joint
    row: Row
    part: Placed
    into: Placed
    side: Side
    entered: Side
    place: float

    @property
    def diameter(self) -> float:
        return 0.060 + 0.013 * (self.joint.gauge or GAUGES[self.joint.thread])

    @cached_property
    def thickness(self) -> float:
        return float(self.part.size[self.row.face[0]])

    @cached_property
    def meeting(self) -> tuple[Array, float]:
        """The joint plane, looking into the other part."""
        return self.part.plane(self.side)

    @cached_property
    def across(self) -> Array:
        """Along the row: square to the bores, in the joint plane, out of the side that places count from."""
        face, _ = self.part.plane(self.row.face)
        way = unit(np.cross(face, self.meeting[0]))
        return way if way @ self.part.plane(self.row.origin)[0] > 0 else -way

    @cached_property
    def way(self) -> Array:
        """From the mouth to the joint."""
        face, _ = self.part.plane(self.row.face)
        normal = self.meeting[0]
        inward = unit(normal - face * (face @ normal))
        return np.asarray(inward * cos(ANGLE) - face * sin(ANGLE))

    @cached_property
    def exit(self) -> Array:
        """In the joint plane, half-way through, so far from the named side along the row."""
        face, at_face = self.part.plane(self.row.face)
        normal, offset = self.meeting
        origin, at_origin = self.part.plane(self.row.origin)
        corner = np.linalg.solve(
            np.array([face, normal, origin]), np.array([at_face - self.thickness / 2, offset, at_origin])
        )
        return np.asarray(corner - self.across * self.place)

    @cached_property
    def setback(self) -> float:
        return max(LEAST_SETBACK, SETBACK_RATIO * self.thickness)

    @cached_property
    def shoulder(self) -> Array:
        return np.asarray(self.exit - self.way * self.setback)

    @cached_property
    def tip(self) -> Array:
        return np.asarray(self.shoulder + self.way * float(self.joint.screw))

    @property
    def reach(self) -> float:
        return float(self.meeting[0] @ self.tip - self.meeting[1])

    @cached_property
    def bore(self) -> Hole:
        """The wide bore as far as it lies before the drilled face."""
        face = self.part.plane(self.row.face)
        rim = circle(self.shoulder, self.way, BIT / 2)
        if np.max(rim @ face[0]) < face[1]:
            return Hole(np.concatenate([rim, onto(rim, self.way, face)]))
        return Hole(np.concatenate([rim, rim - 8 * self.way]), [face])

    @cached_property
    def pilot(self) -> Hole:
        """From the shoulder to the joint plane, in which it ends."""
        rim = circle(self.shoulder, self.way, PILOT / 2)
        return self._ending(rim, onto(rim, self.way, self.meeting))

    def _ending(self, rim: Array, end: Array) -> Hole:
        normal, offset = self.meeting
        if np.max(rim @ normal) < offset:
            return Hole(np.concatenate([rim, end]))
        return Hole(np.concatenate([rim, rim + 2 * self.way]), [self.meeting])

    def _pointed(self, start: Array, most: float) -> Array:
        """A shank from some points on, and its cone."""
        point = min(most, POINT_DIAMETERS * self.diameter)
        neck = circle(self.tip - self.way * point, self.way, self.diameter / 2)
        return np.concatenate([start, neck, self.tip[None, :]])

    @cached_property
    def screw(self) -> Hole:
        """From the head to the point."""
        head = circle(self.shoulder, self.way, self.diameter / 2)
        return Hole(self._pointed(head, float(self.joint.screw)))

    @cached_property
    def beyond(self) -> Hole:
        """What of the screw lies past the joint plane."""
        head, (normal, offset) = circle(self.shoulder, self.way, self.diameter / 2), self.meeting
        past = float(self.joint.screw) - self.setback
        whole = self._pointed(onto(head, self.way, self.meeting), past)
        if np.min(whole @ normal) > offset - 1e-9:
            return Hole(whole)
        return Hole(self._pointed(head, past), [(-normal, -offset)])

    def leans(self, count: int) -> list[Array]:
        """Ways in which a bit leans as far as it may, all round the screw."""
        rim = circle(np.zeros(3), self.way, 1.0)
        aside = [rim[round(len(rim) * n / count) % len(rim)] for n in range(count)]
        return [self.way * cos(LEAN) + each / np.linalg.norm(each) * sin(LEAN) for each in aside]

    def corridor(self, more: float, way: Array | None = None) -> list[Hole]:
        """The driver's bit, down to the shoulder, and the drill behind it, each ``more`` wider all round."""
        way = self.way if way is None else way
        end = self.shoulder - way * DRIVER
        far = end - way * DRILL
        return [
            Hole(np.concatenate([circle(p, way, wide / 2 + more) for p in ends]))
            for ends, wide in (((self.shoulder, end), DRIVER_WIDE), ((end, far), DRILL_WIDE))
        ]


def pockets_of(piece: Piece, joint: Joint) -> list[Pocket]:
    found = []
    for row in joint.rows:
        ends = [(piece.placed[joint.a], joint.side_a), (piece.placed[joint.b], joint.side_b)]
        (part, side), (into, entered) = reversed(ends) if row.in_b else ends
        found += [Pocket(joint, row, part, into, side, entered, float(place)) for place in row.places]
    return found


def near(solid: Manifold, other: Manifold, reach: float) -> bool:
    """Whether the boxes round two solids come within ``reach``."""
    a, b = solid.bounding_box(), other.bounding_box()
    return all(a[i] - reach <= b[i + 3] and b[i] - reach <= a[i + 3] for i in range(3))
