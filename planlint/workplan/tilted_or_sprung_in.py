"""What common practice still brings in where no straight move does: a loose shelf tilted in through an opening, a thin
part sprung into shallow joints, a part slid along a channel that is cut through at its end."""

from collections.abc import Collection, Sequence
from itertools import product
from math import atan2, cos, radians, sin
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.box_index import bounding_box, boxes_meet
from planlint.geometry.shapes.vectors import plus
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.plan import Join, Part
from planlint.workplan.blocking_graph import Motions, Move
from planlint.workplan.joint_freedom import Freedom, channel_opened
from planlint.workplan.swept_wood import Corners, hulls_meet, swept_box, wood_of
from planlint.workplan.way_in import Apart, Off, access_less

TILTS = tuple(range(2, 62, 2))
"""Degrees by which a shelf is tilted at most, each tried after those before it. Basis: our own judgement."""
LIFT = 1 / 16
"""Inches that a shelf is lifted off what it lies on before it is tilted. Basis: our own judgement."""
_LEVEL: tuple[Vector, ...] = ((0.0, -1.0, 0.0), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (1.0, 0.0, 0.0))


class Help(NamedTuple):
    """How something is brought in all the same: ``tilted``, ``sprung`` or ``notched``; this at which joint."""

    how: str
    join: Join | None = None


def guided(apart: Apart, joins: Sequence[Join]) -> list[tuple[Join, Freedom]]:
    """Those of some joints that are entered only in some ways; of a channel that stops, those to its open end."""
    found = ((join, apart.motions.freedom(join)) for join in joins)
    return [
        (join, _open_ways(apart.motions, join, free))
        for join, free in found
        if free is not None and not free.loose
    ]


def _open_ways(motions: Motions, join: Join, free: Freedom) -> Freedom:
    a, b = join.part_a.index, join.part_b.index
    ways = tuple(way for way in free.only if b not in motions.stopped_by(a, Move(way)))
    return free._replace(only=ways or free.only)


def springy(piece: Piece, joints: Sequence[tuple[Join, Freedom]]) -> frozenset[int]:
    """Shallow joints of thin parts, which are sprung or tilted into them: one at a face bends away from it; one at an
    end or edge is bowed between two of them, unless a joint along the bow keeps it straight."""
    slender, deep = piece.limits["no-way-in", "slender"], piece.limits["no-way-in", "shallow"]
    shallow = [join for join, free in joints if free.deep <= deep and free.allows(free.out)]
    held = {(part.index, side) for join, _ in joints for part, side in join.sides}
    let_in = {(part.index, side) for join in shallow for part, side in join.sides}

    def gives(part: Part, side: Side) -> bool:
        bent = part.width if part.is_edge(side) else part.length
        if bent < slender * float(part.thickness):
            return False
        beside = (each for each in SIDES if each.axis not in (side.axis, part.facing.axis))
        return part.is_face(side) or (
            (part.index, side.opposite) in let_in and not any((part.index, each) in held for each in beside)
        )

    return frozenset(join.index for join in shallow if any(gives(part, side) for part, side in join.sides))


def helped_off(apart: Apart, present: frozenset[int], joins: Sequence[Join]) -> tuple[Off, Help] | None:
    """What comes off a set that no straight move takes apart, if springing or a notch undoes it."""
    joints = guided(apart, joins)
    least = (apart.least_stuck(each) for each in apart.stuck(present))
    knots = (springy(apart.piece, guided(apart, apart.joins_in(each))) for each in least)
    for shallow in filter(None, (springy(apart.piece, joints), frozenset().union(*knots))):
        found = _off(
            Apart(apart.piece, access_less(apart.access, shallow), Motions(apart.piece, shallow)), present
        )
        if found is not None:
            return found, Help("sprung")
    for join, free in joints:
        if channel_opened(join, apart.piece.body(join.part_a), free) is not None:
            moves = Motions(apart.piece, notched=frozenset({join.index}))
            found = _off(Apart(apart.piece, apart.access, moves), present)
            if found is not None:
                return found, Help("notched", join)
    return None


def _off(apart: Apart, present: frozenset[int]) -> Off | None:
    return None if apart.stuck(present) else apart.off(present)


def tilted_off(piece: Piece, i: int, present: Collection[int]) -> Move | None:
    """The way in which a board that only lies there, level, comes out of what else is there once one of its ends is
    lifted."""
    body = piece.bodies[i]
    if body.rotation is not None or body.part.facing.axis is not Axis.Z:
        return None
    cells = [box.corners for box, _ in wood_of(body).cells]
    far = 4.0 * max(high - low for low, high in zip(*piece.bounds, strict=True))
    fixed, parts = piece.placement.fixed_together, piece.plan.parts
    others = [
        (box, corners or tuple(box.corners))
        for j in present
        if j != i and fixed(parts[i], parts[j])
        for box, corners in wood_of(piece.bodies[j]).cells
    ]
    for way in _LEVEL:
        along = Axis.Y if way[0] else Axis.X
        flat = atan2(*(body.bounds.high[axis] - body.bounds.low[axis] for axis in (Axis.Z, along)))
        # One end goes up, or that and the other down past the pins that it lay on.
        for up, lifted in product((1, -1), (True, False)):
            for angle in (flat, *map(radians, TILTS)):
                tilted = _tilted(cells, body.middle, along, up * angle, lifted)
                if _meets(tilted, others, way, 0.0):
                    break
                if angle is not flat and not _meets(tilted, others, way, far):
                    return Move(way)
    return None


def _tilted(
    cells: Sequence[Sequence[Vector]], middle: Vector, along: Axis, angle: float, lifted: bool
) -> list[Corners]:
    """Wood turned about its middle, in the plane of an axis and the upright; ``lifted``, its lowest corner just over
    its place."""
    c, s = cos(angle), sin(angle)
    found: list[Corners] = []
    for cell in cells:
        turned: list[Vector] = []
        for corner in cell:
            u, z = corner[along] - middle[along], corner[2] - middle[2]
            to = list(corner)
            to[along], to[2] = middle[along] + c * u - s * z, middle[2] + s * u + c * z
            turned.append((to[0], to[1], to[2]))
        found.append(tuple(turned))
    lay = min(corner[2] for cell in cells for corner in cell)
    rise = lay + LIFT - min(corner[2] for cell in found for corner in cell) if lifted else LIFT
    return [tuple(plus(corner, (0.0, 0.0, 1.0), rise) for corner in cell) for cell in found]


def _meets(cells: Sequence[Corners], others: Sequence[tuple[Box, Corners]], way: Vector, far: float) -> bool:
    """Whether wood runs into other wood as it moves along a unit vector."""
    for cell in cells:
        swept = swept_box(bounding_box(cell), way, far)
        if any(boxes_meet(swept, box) and hulls_meet(cell, other, way, far) for box, other in others):
            return True
    return False
