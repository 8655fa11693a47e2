"""Whether a driver can stand behind a pocket, and which parts are in its way.

The corridor runs from the shoulder, where the screw's head bears, back along its axis: first the driver bit, then the
drill's body. Walls and floors are left out of it: a piece is put together at the bench and then carried to its place.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import NamedTuple

from planlint.geometry.facts import Pocket, Vector
from planlint.geometry.shapes.body import Body, Box, Plane
from planlint.geometry.shapes.box_index import BoxTree, box_round, boxes_meet
from planlint.geometry.shapes.polygons import Polygon, box_faces, cut, middle
from planlint.geometry.shapes.segments import segment_to_box, segment_to_segment
from planlint.geometry.shapes.vectors import cross, dot, length, minus, plus, scaled
from planlint.model.workshop import DrillingProfile


class Corridor(NamedTuple):
    """The room one screw needs: two round bodies on one line, behind the shoulder."""

    shoulder: Vector
    bit_end: Vector
    drill_end: Vector
    bit_radius: float
    drill_radius: float


def corridor(pocket: Pocket, profile: DrillingProfile) -> Corridor:
    """The corridor of a pocket; the bit's first inches stand inside the bore, and beside the wood that it leaves."""
    bit_end = plus(pocket.shoulder, pocket.direction, -profile.driver_length)
    drill_end = plus(bit_end, pocket.direction, -profile.drill_length)
    return Corridor(
        pocket.shoulder, bit_end, drill_end, profile.driver_diameter / 2, profile.drill_diameter / 2
    )


def in_the_way(way: Corridor, body: Body) -> bool:
    """Whether a body stands in a corridor; touching is not in the way."""
    shoulder, bit_end, drill_end = (
        body.to_own(point) for point in (way.shoulder, way.bit_end, way.drill_end)
    )
    for cell in body.own_cells:
        for a, b, radius in ((shoulder, bit_end, way.bit_radius), (bit_end, drill_end, way.drill_radius)):
            if segment_to_box(a, b, cell) >= radius - TOUCH:
                continue
            if not body.cut_ends or _segment_to_cut_cell(a, b, body, cell) < radius - TOUCH:
                return True
    return False


TOUCH = 1e-6
"""Inches by which a body may stand in a corridor through rounding alone."""


def _segment_to_cut_cell(a: Vector, b: Vector, body: Body, cell: Box) -> float:
    """Distance from a segment (own frame) to a cell as its slanted ends leave it; 0 where it runs through it."""
    faces = box_faces(cell)
    for plane in body.own_cuts:
        faces = cut(faces, plane)
    if not faces:
        return inf
    centre = middle([point for face in faces for point in face])
    outward = []
    for face in faces:
        normal = _normal(face)
        size = length(normal)
        if size > 1e-9:  # A sliver of a face has no side to it; its edges are those of its neighbours.
            normal = scaled(normal, (-1.0 if dot(normal, minus(face[0], centre)) < 0 else 1.0) / size)
            outward.append((face, Plane(normal, dot(normal, face[0]))))
    if all(plane.depth(a) > 0 for _, plane in outward):
        return 0.0
    best = inf
    for face, plane in outward:
        edges = list(zip(face, (*face[1:], face[0]), strict=True))
        best = min(best, *(segment_to_segment(a, b, p, q) for p, q in edges))
        at_a, at_b = plane.depth(a), plane.depth(b)
        if at_a * at_b < 0 and _over(plus(a, minus(b, a), at_a / (at_a - at_b)), face, plane.normal):
            return 0.0
        for point, depth in ((a, at_a), (b, at_b)):
            if depth < 0 and _over(point, face, plane.normal):
                best = min(best, -depth)
    return best


def _normal(face: Polygon) -> Vector:
    """Square to a flat polygon, twice its area long."""
    x, y, z = 0.0, 0.0, 0.0
    for p, q in zip(face, (*face[1:], face[0]), strict=True):
        i, j, k = cross(p, q)
        x, y, z = x + i, y + j, z + k
    return x, y, z


def _over(point: Vector, face: Polygon, normal: Vector) -> bool:
    """Whether a point lies straight over (or under) a convex face."""
    turns = [
        dot(cross(minus(q, p), minus(point, p)), normal)
        for p, q in zip(face, (*face[1:], face[0]), strict=True)
    ]
    return all(turn >= 0 for turn in turns) or all(turn <= 0 for turn in turns)


class Blockers:
    """All bodies of a piece, asked which of them stand behind a row of pockets."""

    def __init__(self, bodies: Sequence[Body]) -> None:
        self._bodies = bodies
        self._tree = BoxTree([body.bounds for body in bodies])

    def of(self, row: Sequence[Pocket], profile: DrillingProfile) -> list[int]:
        """Indices of the parts in the way of any corridor of a row of pockets, the joint's own two left out."""
        own = (row[0].part.index, row[0].into.index)
        near = [i for i in self._tree.near(_round_all(row, profile)) if i not in own]
        if not near:
            return []
        ways = [(way, _bounds(way)) for way in (corridor(pocket, profile) for pocket in row)]
        bodies = ((i, self._bodies[i]) for i in sorted(near))
        return [
            i
            for i, body in bodies
            if any(boxes_meet(bounds, body.bounds) and in_the_way(way, body) for way, bounds in ways)
        ]


def _round_all(row: Sequence[Pocket], profile: DrillingProfile) -> Box:
    """A box round all corridors of a row: those of the first and the last pocket hold the others between them."""
    x, y, z = row[0].shoulder
    p, q, r = plus(row[0].shoulder, row[0].direction, -profile.driver_length - profile.drill_length)
    dx, dy, dz = minus(row[-1].shoulder, row[0].shoulder)
    reach = max(profile.driver_diameter, profile.drill_diameter) / 2
    return Box(
        (
            (x if x < p else p) + (dx if dx < 0 else 0.0) - reach,
            (y if y < q else q) + (dy if dy < 0 else 0.0) - reach,
            (z if z < r else r) + (dz if dz < 0 else 0.0) - reach,
        ),
        (
            (x if x > p else p) + (dx if dx > 0 else 0.0) + reach,
            (y if y > q else q) + (dy if dy > 0 else 0.0) + reach,
            (z if z > r else r) + (dz if dz > 0 else 0.0) + reach,
        ),
    )


def _bounds(way: Corridor) -> Box:
    reach = max(way.bit_radius, way.drill_radius)
    return box_round(way.shoulder, way.drill_end, reach)
