"""The edges and faces that a part really has: those of its convex pieces, without the seams between them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise
from math import atan2, cos, inf, pi, sin
from typing import NamedTuple

from planlint.geometry.facts import Vector
from planlint.geometry.shapes.body import Body, Box, Plane
from planlint.geometry.shapes.polygons import Polygon, area, box_faces, clipped_by_all, cut
from planlint.geometry.shapes.vectors import AXES, cross, dot, minus, plus, scaled, unit

Edge = tuple[Vector, Vector]
_SAME = 1e-7
"""Inches within which two places are one."""
_BESIDE = 1e-5
"""Inches from an edge at which it is asked what is wood round it."""


class Face(NamedTuple):
    """A flat piece of a part's surface: convex, against the clock seen from outside; ``normal`` is unit, outward."""

    corners: Polygon
    normal: Vector


def own_edges(body: Body) -> list[Edge]:
    """The edges of a part in its own frame, each once."""
    polyhedra = _settled(_own_polyhedra(body))
    found = {
        (a, b) if a < b else (b, a)
        for faces in polyhedra
        for face in faces
        for a, b in zip(face, (*face[1:], face[0]), strict=True)
        if a != b
    }
    return sorted(found) if len(polyhedra) == 1 else list(_without_seams(body, found))


@lru_cache(maxsize=2048)
def edges(body: Body) -> list[Edge]:
    """The edges of a part in the piece's axes; kept, as each view asks again. Not to be changed."""
    return [(body.to_piece(a), body.to_piece(b)) for a, b in own_edges(body)]


def _own_polyhedra(body: Body) -> list[list[Polygon]]:
    found = []
    for cell in body.own_cells:
        faces = box_faces(cell)
        for plane in body.own_cuts:
            faces = cut(faces, plane)
        if faces:
            found.append(faces)
    return found


def _settled(polyhedra: list[list[Polygon]]) -> list[list[Polygon]]:
    """The same with each corner told by the same numbers, whichever faces and pieces it was worked out from."""
    corners = {corner for faces in polyhedra for face in faces for corner in face}
    x, y, z = (_levels(corner[axis] for corner in corners) for axis in range(3))
    return [
        [tuple((x[a], y[b], z[c]) for a, b, c in face) for face in faces] for faces in polyhedra
    ]  # fmt: skip


def _levels(values: Iterable[float]) -> dict[float, float]:
    """For each value the one that stands for all as good as equal. Rounding would not do: two that differ by a hair
    may lie on both sides of a step."""
    levels: dict[float, float] = {}
    level = last = -inf
    for value in sorted(values):
        if value - last > _SAME:
            level = value
        levels[value] = level
        last = value
    return levels


# ---------------------------------------------------------------- seams


def _without_seams(body: Body, candidates: Iterable[Edge]) -> Iterator[Edge]:
    """Of the edges of all pieces what is an edge of the whole: the wood round it is neither all, none nor half."""
    lines = _lines(candidates)
    planes = _all_planes(body)
    for foot, way, spans in lines:
        along = [
            plane for plane in planes if abs(dot(plane.normal, way)) < 1e-9 and abs(plane.depth(foot)) < _SAME
        ]
        across = [plane for plane in planes if abs(dot(plane.normal, way)) >= 1e-9]
        ends = [end for span in spans for end in span]
        crossed = (plane.depth(foot) / dot(plane.normal, way) for plane in across)
        stops = [*ends, *(at for at in crossed if min(ends) < at < max(ends))]
        start: float | None = None
        order = sorted(set(_levels(stops).values()))
        for low, high in pairwise(order):
            middle = (low + high) / 2
            real = any(a < middle < b for a, b in spans) and _is_edge(
                body, plus(foot, way, middle), way, along
            )
            if real and start is None:
                start = low
            elif not real and start is not None:
                yield plus(foot, way, start), plus(foot, way, low)
                start = None
        if start is not None:
            yield plus(foot, way, start), plus(foot, way, order[-1])


def _lines(candidates: Iterable[Edge]) -> list[tuple[Vector, Vector, list[tuple[float, float]]]]:
    """Edges by the line they lie on: its point nearest to the origin, its way, and from where to where each runs."""
    found = []
    for a, b in candidates:
        way = unit(minus(b, a))
        if next(x for x in way if abs(x) > 1e-7) < 0:
            way = scaled(way, -1)
        low, high = sorted((dot(a, way), dot(b, way)))
        found.append(((*way, *plus(a, way, -dot(a, way))), (low, high)))
    levels = [_levels(numbers[n] for numbers, _ in found) for n in range(6)]
    lines: dict[tuple[float, ...], list[tuple[float, float]]] = {}
    for numbers, span in found:
        key = tuple(level[number] for level, number in zip(levels, numbers, strict=True))
        lines.setdefault(key, []).append(span)
    return [((x, y, z), (u, v, w), spans) for (u, v, w, x, y, z), spans in lines.items()]


def _all_planes(body: Body) -> list[Plane]:
    found: dict[object, Plane] = {}
    for low, high in body.own_cells:
        for axis in range(3):
            for at in (low[axis], high[axis]):
                found.setdefault((axis, round(at, 7)), Plane(AXES[axis], at))
    return [*found.values(), *body.own_cuts]


def _is_edge(body: Body, at: Vector, way: Vector, planes: list[Plane]) -> bool:
    helper: Vector = (1.0, 0.0, 0.0) if abs(way[0]) < 0.7 else (0.0, 1.0, 0.0)
    u = unit(cross(way, helper))
    v = cross(way, u)
    turns: list[float] = []
    for plane in planes:
        in_plane = cross(plane.normal, way)
        turn = atan2(dot(in_plane, v), dot(in_plane, u)) % pi
        if all(min(abs(turn - other), pi - abs(turn - other)) > 1e-7 for other in turns):
            turns.append(turn)
    turns = sorted(turns)
    turns = [*turns, *(turn + pi for turn in turns)]
    wood: list[bool] = []
    wide: list[float] = []
    for turn, after in zip(turns, [*turns[1:], turns[0] + 2 * pi], strict=True):
        half = (turn + after) / 2
        wood.append(_inside(body, plus(plus(at, u, cos(half) * _BESIDE), v, sin(half) * _BESIDE)))
        wide.append(after - turn)
    if all(wood) or not any(wood):
        return False
    changes = sum(one is not other for one, other in zip(wood, [*wood[1:], wood[0]], strict=True))
    angle = sum(each for each, inside in zip(wide, wood, strict=True) if inside)
    return changes > 2 or abs(angle - pi) > 1e-6


def _inside(body: Body, own: Vector) -> bool:
    x, y, z = own
    return all(plane.depth(own) > 0 for plane in body.own_cuts) and any(
        a < x < p and b < y < q and c < z < r for (a, b, c), (p, q, r) in body.own_cells
    )


# ---------------------------------------------------------------- faces


def own_faces(body: Body) -> list[Face]:
    """The surface of a part in its own frame, as convex faces that do not overlap."""
    found: list[Face] = []
    cells = body.own_cells
    for cell in cells:
        for axis in range(3):
            for sign in (-1, 1):
                at = (cell.high if sign > 0 else cell.low)[axis]
                beyond = [
                    other
                    for other in cells
                    if other is not cell and abs((other.low if sign > 0 else other.high)[axis] - at) < _SAME
                ]
                normal = (
                    float(sign * (axis == 0)),
                    float(sign * (axis == 1)),
                    float(sign * (axis == 2)),
                )
                for left in _rectangles(cell, axis, beyond):
                    corners = _corners(left, axis, at, sign)
                    if body.own_cuts:
                        corners = clipped_by_all(corners, body.own_cuts)
                    if area(corners) > 1e-9:
                        found.append(Face(corners, normal))
    if body.own_cuts:
        found += _cut_faces(body)
    return found


@lru_cache(maxsize=2048)
def faces(body: Body) -> list[Face]:
    """The surface of a part in the piece's axes, as convex faces that do not overlap; kept, and not to be changed."""
    return [
        Face(tuple(map(body.to_piece, face.corners)), body.direction_to_piece(face.normal))
        for face in own_faces(body)
    ]


Rectangle = tuple[float, float, float, float]


def _rectangles(cell: Box, axis: int, beyond: list[Box]) -> list[Rectangle]:
    """One side of a box less what other boxes cover of it: low and high on the first axis across, then the second."""
    i, j = (axis + 1) % 3, (axis + 2) % 3
    left: list[Rectangle] = [(cell.low[i], cell.high[i], cell.low[j], cell.high[j])]
    for other in beyond:
        a, b, c, d = other.low[i], other.high[i], other.low[j], other.high[j]
        parts: list[Rectangle] = []
        for p, q, r, s in left:
            if a >= q or b <= p or c >= s or d <= r:
                parts.append((p, q, r, s))
                continue
            if a > p:
                parts.append((p, a, r, s))
            if b < q:
                parts.append((b, q, r, s))
            low, high = max(a, p), min(b, q)
            if c > r:
                parts.append((low, high, r, c))
            if d < s:
                parts.append((low, high, d, s))
        left = parts
    return left


def _corners(rectangle: Rectangle, axis: int, at: float, sign: int) -> Polygon:
    p, q, r, s = rectangle
    i, j = (axis + 1) % 3, (axis + 2) % 3

    def corner(x: float, y: float) -> Vector:
        point = [at, at, at]
        point[i], point[j] = x, y
        return point[0], point[1], point[2]

    around = (corner(p, r), corner(q, r), corner(q, s), corner(p, s))
    return around if sign > 0 else around[::-1]


def _cut_faces(body: Body) -> list[Face]:
    """The slanted ends: of each convex piece the face that the plane of a cut gave it."""
    found = []
    for faces in _own_polyhedra(body):
        for plane in body.own_cuts:
            for face in faces:
                if all(abs(plane.depth(corner)) < _SAME for corner in face) and area(face) > 1e-9:
                    around = dot(turning(face), plane.normal)
                    found.append(Face(face if around > 0 else face[::-1], plane.normal))
    return found


def turning(face: Polygon) -> Vector:
    """Square to a flat polygon, twice its area long, toward those who see it against the clock."""
    total: Vector = (0.0, 0.0, 0.0)
    for a, b in zip(face, (*face[1:], face[0]), strict=True):
        total = plus(total, cross(a, b))
    return total
