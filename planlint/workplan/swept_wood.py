"""Whether a part that moves straight runs into another: wood swept along a line against wood that stands still."""

from collections.abc import Sequence
from math import inf
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body, Box, Cell, Plane
from planlint.geometry.shapes.box_index import bounding_box, boxes_meet
from planlint.geometry.shapes.convex import Hull, gap_between, point
from planlint.geometry.shapes.polygons import cell_faces
from planlint.geometry.shapes.vectors import plus

SPARE = 1 / 128
"""What each of two parts is taken smaller all round, in inches: sides that touch, or miss by a hair, slide past one
another. Basis: our own judgement."""
Corners = tuple[Vector, ...]


class Wood(NamedTuple):
    """A part's wood, a hair smaller all round: convex cells by their bounds, and their corners where a cell is no box
    along the piece's axes."""

    cells: tuple[tuple[Box, Corners | None], ...]
    bounds: Box


def wood_of(body: Body) -> Wood:
    """The wood of a body where it stands, in the piece's axes."""
    cells: list[tuple[Box, Corners | None]] = []
    for (low, high), cuts in body.own_cells:
        small = Box(plus(low, _SHRINK), plus(high, _SHRINK, -1.0))
        if any(small.low[i] >= small.high[i] for i in range(3)):
            continue
        if body.rotation is None and not cuts:
            cells.append((Box(body.to_piece(small.low), body.to_piece(small.high)), None))
            continue
        faces = cell_faces(Cell(small, tuple(Plane(plane.normal, plane.offset - SPARE) for plane in cuts)))
        corners = tuple({body.to_piece(corner) for face in faces for corner in face})
        if len(corners) > 3:
            cells.append((bounding_box(corners), corners))
    if not cells:
        return Wood((), Box(body.middle, body.middle))
    return Wood(tuple(cells), bounding_box([corner for box, _ in cells for corner in box]))


_SHRINK: Vector = (SPARE, SPARE, SPARE)


def swept_box(box: Box, way: Vector, far: float) -> Box:
    """The box round a box that moves ``far`` inches along a unit vector."""
    low, high = box
    (a, b, c), (u, v, w) = low, high
    dx, dy, dz = way[0] * far, way[1] * far, way[2] * far
    return Box(
        (a + min(dx, 0.0), b + min(dy, 0.0), c + min(dz, 0.0)),
        (u + max(dx, 0.0), v + max(dy, 0.0), w + max(dz, 0.0)),
    )


class Sweep:
    """Wood that moves ``far`` inches along a unit vector, from ``start`` off its place."""

    def __init__(self, mover: Wood, way: Vector, far: float, start: Vector = (0.0, 0.0, 0.0)) -> None:
        self._way, self._far, self._start = way, far, start
        # Along an axis a box sweeps the whole of its swept box.
        self._square = max(map(abs, way)) == 1.0
        moved = [(Box(plus(box.low, start), plus(box.high, start)), box, at) for box, at in mover.cells]
        self._cells = [(swept_box(here, way, far), box, at) for here, box, at in moved]

    def runs_into(self, still: Wood) -> bool:
        """Whether it meets other wood on its way."""
        for swept, box, corners in self._cells:
            for other, others in still.cells:
                if not boxes_meet(swept, other):
                    continue
                if self._square and corners is None and others is None:
                    return True
                here = [plus(corner, self._start) for corner in corners or box.corners]
                if hulls_meet(here, others or tuple(other.corners), self._way, self._far):
                    return True
        return False


def share_wood(one: Wood, other: Wood) -> bool:
    """Whether two bodies share wood where they stand."""
    return boxes_meet(one.bounds, other.bounds) and Sweep(one, (0.0, 0.0, 1.0), 0.0).runs_into(other)


def hulls_meet(corners: Sequence[Vector], others: Sequence[Vector], way: Vector, far: float) -> bool:
    """Whether a convex cell that moves ``far`` inches along a unit vector meets another."""
    swept: Hull = [point(at) for corner in corners for at in (corner, plus(corner, way, far))]
    return gap_between(swept, [point(each) for each in others], _A_HAIR) < _A_HAIR


_A_HAIR = 1e-4
"""Inches: nearer is a meeting; both bodies are a hair smaller than they are."""


def reach_of(bounds: Box) -> float:
    """A move of so many inches takes anything out of a box, whichever way it goes."""
    size = max((bounds.high[i] - bounds.low[i] for i in range(3)), default=inf)
    return 4.0 * size + 1.0
