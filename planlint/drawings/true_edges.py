"""The edges and faces that a part really has: those of its convex pieces, without the seams between them."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from math import atan2, cos, inf, pi, sin
from typing import NamedTuple

from planlint.geometry.facts import Vector
from planlint.geometry.shapes.body import Body, Cell, Plane, Shape
from planlint.geometry.shapes.polygons import Polygon, area, clipped
from planlint.geometry.shapes.vectors import AXES, cross, dot, length, minus, plus, scaled, total, unit

Edge = tuple[Vector, Vector]
_SAME = 1e-7
"""Inches within which two places are one."""
_BESIDE = 1e-5
"""Inches from an edge at which it is asked what is wood round it."""
_NEAR = 2 * _BESIDE
"""Inches from a line within which all wood counts that is asked about there."""
_OFF = 1e-5
"""Inches by which planes may differ that are looked at as one more closely."""
_CURVED = 0.6
"""Radians by which one chord of a curve turns from the one before it, at the most."""


class Face(NamedTuple):
    """A flat piece of a part's surface: convex, against the clock seen from outside; ``normal`` is unit, outward."""

    corners: Polygon
    normal: Vector


def own_edges(body: Body) -> list[Edge]:
    """The edges of a part in its own frame, each once."""
    return _edges_of(body.own_cells, body.own_shapes, body.round_planes)


@lru_cache(maxsize=512)
def _edges_of(
    cells: tuple[Cell, ...], shapes: tuple[Shape, ...], round_planes: tuple[Plane, ...]
) -> list[Edge]:
    """Kept, as parts are alike, and one part is drawn in several places."""
    polyhedra = _settled([faces for faces in shapes if faces])
    found = {
        (a, b) if a < b else (b, a)
        for faces in polyhedra
        for face in faces
        for a, b in zip(face, (*face[1:], face[0]), strict=True)
        if a != b
    }
    plain = len(polyhedra) == 1 and not round_planes
    return sorted(found) if plain else list(_without_seams(cells, _turns(round_planes), found))


@lru_cache(maxsize=2048)
def edges(body: Body) -> list[Edge]:
    """The edges of a part in the piece's axes; kept, as each view asks again. Not to be changed."""
    return [(body.to_piece(a), body.to_piece(b)) for a, b in own_edges(body)]


def outlines(body: Body, leaves: Callable[[Plane], float]) -> list[Edge]:
    """Where a curve that stands out turns away from who looks: a line between two of its chords, no edge of the part.

    ``leaves`` tells of a plane whether it faces them (positive), as a view does.
    """
    ways = (body.in_piece(plane) for plane in body.round_planes)
    if all(abs(leaves(plane)) < _SAME for plane in ways):
        return []  # All its curves are looked at end on.
    return [pair[0][0] for pair in _seams(body) if _turns_away(pair, leaves)]


@lru_cache(maxsize=2048)
def _seams(body: Body) -> list[list[tuple[Edge, Face]]]:
    """The lines that two faces share and that are no edges, each as one and the other face have it; kept, as each view
    asks again."""
    beside: dict[frozenset[tuple[float, ...]], list[tuple[Edge, Face]]] = defaultdict(list)
    for face in faces(body):
        for a, b in zip(face.corners, (*face.corners[1:], face.corners[0]), strict=True):
            beside[frozenset((_place(a), _place(b)))].append(((a, b), face))
    known = {frozenset((_place(a), _place(b))) for a, b in edges(body)}
    return [pair for line, pair in beside.items() if len(pair) == 2 and line not in known]


def _turns_away(pair: list[tuple[Edge, Face]], leaves: Callable[[Plane], float]) -> bool:
    (edge, one), (_, other) = pair
    stands_out = all(dot(one.normal, minus(corner, edge[0])) < _SAME for corner in other.corners)
    near, far = (leaves(Plane(face.normal, dot(face.normal, edge[0]))) > 0 for face in (one, other))
    return stands_out and near is not far


def _place(point: Vector) -> tuple[float, ...]:
    return tuple(round(each, 6) + 0.0 for each in point)


def _settled(polyhedra: Sequence[Shape]) -> list[list[Polygon]]:
    """The same with each corner told by the same numbers, whichever faces and pieces it was worked out from."""
    corners = {corner for faces in polyhedra for face in faces for corner in face}
    x, y, z = (_levels(corner[axis] for corner in corners) for axis in range(3))
    return [[tuple((x[a], y[b], z[c]) for a, b, c in face) for face in faces] for faces in polyhedra]


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


def _turns(chords: Sequence[Plane]) -> dict[tuple[float, ...], float]:
    """How far each chord of a curve turns from the one beside it (radians)."""
    found: dict[tuple[float, ...], float] = {}
    for one, other in pairwise(chords):
        turn = length(cross(one.normal, other.normal))
        if turn < _CURVED and dot(one.normal, other.normal) > 0:
            for each in map(_key, (one, other)):
                found[each] = max(found.get(each, 0.0), turn)
    return found


def _without_seams(
    wood: Sequence[Cell], round_planes: Mapping[tuple[float, ...], float], candidates: Iterable[Edge]
) -> Iterator[Edge]:
    """Of the edges of all pieces what is an edge of the whole: the wood round it is neither all, none nor half."""
    planes, bounds = _bounded(wood)
    for foot, way, spans in _lines(candidates):
        met = [(dot(plane.normal, way), plane.depth(foot)) for plane in planes]
        first, last = min(low for low, _ in spans), max(high for _, high in spans)
        near = [
            (cell, bound, *run)
            for cell, bound in zip(wood, bounds, strict=True)
            if (run := _run(bound, met, first, last)) is not None
        ]
        numbers = sorted({number for _, bound, *_ in near for number, _ in bound})
        along = [planes[n] for n in numbers if abs(met[n][0]) < 1e-9 and abs(met[n][1]) < _SAME]
        sectors = _sectors(way, along)
        stops = [*(end for span in spans for end in span), *(end for *_, a, b in near for end in (a, b))]
        start: float | None = None
        order = sorted(set(_levels(stops).values()))
        for low, high in pairwise(order):
            middle = (low + high) / 2
            real = any(a < middle < b for a, b in spans) and _is_edge(
                [cell for cell, _, a, b in near if a < middle < b],
                plus(foot, way, middle),
                sectors,
                round_planes,
            )
            if real and start is None:
                start = low
            elif not real and start is not None:
                yield plus(foot, way, start), plus(foot, way, low)
                start = None
        if start is not None:
            yield plus(foot, way, start), plus(foot, way, order[-1])


_Bound = list[tuple[int, float]]
"""The planes of a cell by their numbers, each with 1 where it looks out of the cell, else -1."""


def _bounded(wood: Iterable[Cell]) -> tuple[list[Plane], list[_Bound]]:
    """All planes that bound some cells, each once, and which of them bound each."""
    known: dict[object, int] = {}
    planes: list[Plane] = []
    bounds: list[_Bound] = []
    for box, cuts in wood:
        mine: list[tuple[object, Plane, float]] = [
            ((axis, round(corner[axis], 7)), Plane(AXES[axis], corner[axis]), out)
            for corner, out in zip(box, (-1.0, 1.0), strict=True)
            for axis in range(3)
        ]
        mine += [(_key(plane), plane, 1.0) for plane in cuts]
        bounds.append([])
        for key, plane, out in mine:
            number = known.setdefault(key, len(planes))
            planes += [plane] * (number == len(planes))
            same = dot(plane.normal, planes[number].normal) > 0
            bounds[-1].append((number, out if same else -out))
    return planes, bounds


def _run(
    bound: _Bound, met: Sequence[tuple[float, float]], low: float, high: float
) -> tuple[float, float] | None:
    """From where to where a line runs in a cell or at it; ``met`` tells how fast it leaves each plane, and how deep
    behind that its foot lies."""
    for number, out in bound:
        slope, depth = met[number]
        if -1e-9 < slope < 1e-9:
            if out * depth < -_NEAR:
                return None
        elif out * slope > 0:
            high = min(high, depth / slope)
        else:
            low = max(low, depth / slope)
    return (low, high) if high - low > _SAME else None


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


def _key(plane: Plane) -> tuple[float, ...]:
    """One for a plane, whichever way it looks."""
    way = 1 if next(x for x in plane.normal if abs(x) > _SAME) > 0 else -1
    return tuple(round(way * x, 6) + 0.0 for x in (*plane.normal, plane.offset))


_Sector = tuple[Vector, float, Plane]
"""What lies between two planes through a line: a step from the line into it, how wide it is (radians), and the plane
that it begins at."""


def _sectors(way: Vector, planes: Iterable[Plane]) -> list[_Sector]:
    """All round a line what its planes divide."""
    helper: Vector = (1.0, 0.0, 0.0) if abs(way[0]) < 0.7 else (0.0, 1.0, 0.0)
    u = unit(cross(way, helper))
    v = cross(way, u)
    by_turn: dict[float, Plane] = {}
    for plane in planes:
        in_plane = cross(plane.normal, way)
        turn = atan2(dot(in_plane, v), dot(in_plane, u)) % pi
        if all(min(abs(turn - other), pi - abs(turn - other)) > 1e-7 for other in by_turn):
            by_turn[turn] = plane
    turns = [(turn + half, by_turn[turn]) for half in (0.0, pi) for turn in sorted(by_turn)]
    found = []
    for (turn, plane), (after, _) in pairwise([*turns, (turns[0][0] + 2 * pi, turns[0][1])]):
        half = (turn + after) / 2
        found.append((plus(scaled(u, cos(half) * _BESIDE), v, sin(half) * _BESIDE), after - turn, plane))
    return found


def _is_edge(
    near: Sequence[Cell], at: Vector, sectors: Sequence[_Sector], smooth: Mapping[tuple[float, ...], float]
) -> bool:
    """Whether wood ends along a line here; not where a chord of a curve meets the next, or what the curve runs out
    into: ``smooth`` tells how far each chord turns."""
    wood = [_inside(near, plus(at, step)) for step, _, _ in sectors]
    if all(wood) or not any(wood):
        return False
    bounds = [plane for n, (_, _, plane) in enumerate(sectors) if wood[n] is not wood[n - 1]]
    angle = sum(wide for (_, wide, _), inside in zip(sectors, wood, strict=True) if inside)
    if len(bounds) == 2 and smooth and 1e-6 < abs(angle - pi) < _CURVED:
        return abs(angle - pi) > 1.05 * max(smooth.get(_key(plane), 0.0) for plane in bounds)
    return len(bounds) > 2 or abs(angle - pi) > 1e-6


def _inside(cells: Iterable[Cell], own: Vector) -> bool:
    x, y, z = own
    return any(
        a < x < p and b < y < q and c < z < r and all(plane.depth(own) > 0 for plane in cuts)
        for ((a, b, c), (p, q, r)), cuts in cells
    )


# ---------------------------------------------------------------- faces


def own_faces(body: Body) -> list[Face]:
    """The surface of a part in its own frame, as convex faces that do not overlap."""
    return _faces_of(body.own_shapes)


@lru_cache(maxsize=512)
def _faces_of(shapes: tuple[Shape, ...]) -> list[Face]:
    cells = [[Face(face, unit(turning(face))) for face in faces if area(face) > 1e-9] for faces in shapes]
    # A face whose back is another's lies as far from the middle the other way.
    every = sorted(
        (dot(face.normal, face.corners[0]), number, at)
        for number, faces in enumerate(cells)
        for at, face in enumerate(faces)
    )
    found: list[Face] = []
    for number, faces in enumerate(cells):
        for face in faces:
            left = [face.corners]
            off = -dot(face.normal, face.corners[0])
            start, end = (bisect_left(every, (off + slack,)) for slack in (-_OFF, _OFF))
            for _, owner, at in sorted(every[start:end], key=lambda each: each[1:]):
                other = cells[owner][at]
                if owner != number and _back_to_back(face, other):
                    left = [each for polygon in left for each in _less(polygon, other)]
            found += [Face(polygon, face.normal) for polygon in left if area(polygon) > 1e-9]
    return found


def _back_to_back(face: Face, other: Face) -> bool:
    """Whether two faces lie in one plane and look away from one another."""
    return (
        dot(face.normal, other.normal) < -1 + 1e-9
        and abs(dot(face.normal, minus(face.corners[0], other.corners[0]))) < _SAME
    )


def _less(polygon: Polygon, other: Face) -> list[Polygon]:
    """A convex polygon less another in its plane, in convex pieces."""
    left: list[Polygon] = []
    inside = polygon
    corners = other.corners
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        out = cross(minus(b, a), other.normal)
        if dot(out, out) < 1e-18:
            continue
        out = unit(out)
        fence = Plane(out, dot(out, a))
        beyond = clipped(inside, Plane(scaled(out, -1.0), -fence.offset))
        inside = clipped(inside, fence)
        if area(beyond) > 1e-9:
            left.append(beyond)
        if area(inside) < 1e-9:
            return [polygon]
    return left


@lru_cache(maxsize=2048)
def faces(body: Body) -> list[Face]:
    """The surface of a part in the piece's axes, as convex faces that do not overlap; kept, and not to be changed."""
    return [
        Face(tuple(map(body.to_piece, face.corners)), body.direction_to_piece(face.normal))
        for face in own_faces(body)
    ]


def turning(face: Polygon) -> Vector:
    """Square to a flat polygon, twice its area long, toward those who see it against the clock."""
    return total(cross(a, b) for a, b in zip(face, (*face[1:], face[0]), strict=True))
