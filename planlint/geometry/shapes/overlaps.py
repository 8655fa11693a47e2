"""Parts that run into one another: how much wood they share, and the way out."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import combinations
from math import inf

from planlint.geometry.joint_facts import Overlap, Vector
from planlint.geometry.shapes.body import Body, body_planes, body_polyhedra
from planlint.geometry.shapes.box_index import overlapping_pairs
from planlint.geometry.shapes.polygons import Polygon, cut, volume
from planlint.geometry.shapes.vectors import cross, dot, norm, scaled
from planlint.model.directions import Axis
from planlint.text.rounding import ROUNDING, SAME_WAY, TOUCH

MOST_OVERLAPS = 500
"""Pairs of parts in one another that are looked for: more are one mistake over and over. Basis: our own judgement."""


def overlaps(bodies: Sequence[Body], tick: Callable[[], None] = lambda: None) -> Iterator[Overlap]:
    """Every pair of bodies whose solids share wood, as they are found; ``tick`` is called before each."""
    for i, j in overlapping_pairs([body.bounds for body in bodies], ROUNDING):
        tick()
        shared = overlap(bodies[i], bodies[j])
        if shared is not None:
            yield shared


def overlap(a: Body, b: Body) -> Overlap | None:
    """What two bodies share, and the shortest straight way out of one another, square to a side of either."""
    if a.plain and b.plain:
        (x0, y0, z0), (x1, y1, z1) = a.bounds
        (u0, v0, w0), (u1, v1, w1) = b.bounds
        sides = (min(x1, u1) - max(x0, u0), min(y1, v1) - max(y0, v0), min(z1, w1) - max(z0, w0))
        if min(sides) <= ROUNDING:
            return None
        out = min(x1 - u0, u1 - x0, y1 - v0, v1 - y0, z1 - w0, w1 - z0)
        return Overlap(a.part, b.part, sides[0] * sides[1] * sides[2], out)
    mine, theirs = body_polyhedra(a), body_polyhedra(b)
    total = 0.0
    for piece in mine:
        for cell in b.own_cells:
            shared = piece
            for plane in body_planes(b, cell):
                shared = cut(shared, plane)
                if not shared:
                    break
            if shared and _thick(shared, a, b) > ROUNDING:
                total += volume(shared)
    return Overlap(a.part, b.part, total, _way_out(a, mine, b, theirs)) if total > 0 else None


def _thick(faces: list[Polygon], a: Body, b: Body) -> float:
    """The least extent of a solid square to a side of either body."""
    points = [point for face in faces for point in face]
    least = float("inf")
    for plane in (*a.planes.values(), *b.planes.values()):
        reach = [dot(plane.normal, point) for point in points]
        least = min(least, max(reach) - min(reach))
    return least


# ---------------------------------------------------------------- the way out


def _way_out(a: Body, mine: list[list[Polygon]], b: Body, theirs: list[list[Polygon]]) -> float:
    """The least slide of the whole of A, square to a side of either, after which it shares no wood with B."""
    normals_a, normals_b = _normals(a), _normals(b)
    axes = _distinct(
        [*normals_a, *normals_b, *(cross(e, f) for e in _edges(normals_a) for f in _edges(normals_b))]
    )
    spans_a, spans_b = ([_spans(piece, axes) for piece in pieces] for pieces in (mine, theirs))
    return min(
        _slide(spans_a, spans_b, [dot(axis, way) for axis in axes])
        for normal in _distinct([*normals_a, *normals_b])
        for way in (normal, scaled(normal, -1.0))
    )


def _normals(body: Body) -> list[Vector]:
    return [plane.normal for plane in body.planes.values()] + [body.along(axis) for axis in Axis]


def _edges(normals: list[Vector]) -> list[Vector]:
    """The directions in which faces with these normals meet."""
    return _distinct([cross(one, other) for one, other in combinations(normals, 2)])


def _distinct(ways: Iterable[Vector]) -> list[Vector]:
    """Unit vectors along some directions, each direction and its opposite once."""
    found: list[Vector] = []
    for way in ways:
        size = norm(way)
        if size > ROUNDING:
            one = scaled(way, 1 / size)
            if all(abs(dot(one, other)) < SAME_WAY for other in found):
                found.append(one)
    return found


_Spans = list[tuple[float, float]]
"""From where to where a convex solid reaches along each of some axes."""


def _spans(piece: list[Polygon], axes: list[Vector]) -> _Spans:
    points = [point for face in piece for point in face]
    reaches = [[dot(axis, point) for point in points] for axis in axes]
    return [(min(reach), max(reach)) for reach in reaches]


def _slide(mine: list[_Spans], theirs: list[_Spans], speeds: list[float]) -> float:
    """How far some convex solids slide, at this speed along each axis, until none shares wood with the others."""
    spans = [found for a in mine for b in theirs if (found := _together(a, b, speeds)) is not None]
    spans.sort()
    at = 0.0
    for start, stop in spans:
        if start > at - ROUNDING:
            break
        at = max(at, stop)
    return at


def _together(a: _Spans, b: _Spans, speeds: list[float]) -> tuple[float, float] | None:
    """While which stretch of the slide two convex solids share wood; ``None`` if never, or only before it."""
    first, last = -inf, inf
    for (a0, a1), (b0, b1), speed in zip(a, b, speeds, strict=True):
        if abs(speed) < TOUCH:
            if a1 - b0 <= ROUNDING or b1 - a0 <= ROUNDING:
                return None
            continue
        one, other = (b0 - a1) / speed, (b1 - a0) / speed
        first, last = max(first, min(one, other)), min(last, max(one, other))
        if last - first <= ROUNDING or last <= 0:
            return None
    return first, last
