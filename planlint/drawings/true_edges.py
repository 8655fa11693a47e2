"""The edges and faces that a part really has: those of its convex pieces, without the seams between them."""

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from math import inf
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body, Cell, Plane, Shape
from planlint.geometry.shapes.cells import united
from planlint.geometry.shapes.polygons import Polygon, area, clipped
from planlint.geometry.shapes.vectors import cross, dot, minus, norm, plus, scaled, total, unit
from planlint.text.grouping import grouped
from planlint.text.rounding import ON, STILL, TOUCH

Edge = tuple[Vector, Vector]
_BESIDE = 1e-5
"""Inches from an edge at which it is asked what is wood round it."""
_OFF = 1e-5
"""Inches by which planes may differ that are looked at as one more closely."""
_CURVED = 0.6
"""Radians by which one chord of a curve turns from the one before it, at the most."""


class Face(NamedTuple):
    """A flat piece of a part's surface: convex, against the clock seen from outside; ``normal`` is unit, outward."""

    corners: Polygon
    normal: Vector


class Seam(NamedTuple):
    """A line between two chords of a curve: no edge. ``normals`` are theirs, unit, outward."""

    edge: Edge
    normals: tuple[Vector, Vector]
    stands_out: bool
    """Whether the wood bends away there, and not in."""


@lru_cache(maxsize=512)
def _own_lines(
    cells: tuple[Cell, ...], shapes: tuple[Shape, ...], round_planes: tuple[Plane, ...]
) -> tuple[list[Edge], list[Seam]]:
    """The edges and seams of a part in its own frame; kept, as parts are alike, and one is drawn in several places."""
    if len(cells) == 1 and not round_planes:
        rims = (zip(face, (*face[1:], face[0]), strict=True) for face in _settled(shapes)[0])
        return sorted({(min(ends), max(ends)) for rim in rims for ends in rim if ends[0] != ends[1]}), []
    smooth = _Smooth(round_planes)
    found: list[Edge] = []
    seams: list[Seam] = []
    for foot, way, stretches in _rims(shapes):
        real = []
        for low, high, planes in stretches:
            curved = len(planes) == 2 and bool(round_planes) and smooth.holds(*planes)
            seam = _seam(cells, plus(foot, way, (low + high) / 2), way, planes) if curved else None
            if seam is not None:
                seams.append(seam._replace(edge=(plus(foot, way, low), plus(foot, way, high))))
            elif planes:
                real.append((low, high))
        found += [(plus(foot, way, low), plus(foot, way, high)) for low, high in united(real, 0.0)]
    return found, seams


@lru_cache(maxsize=2048)
def _lines(body: Body) -> tuple[list[Edge], list[Seam]]:
    """The same in the piece's axes; kept, as each view asks again."""
    edges, seams = _own_lines(body.own_cells, body.own_shapes, body.round_planes)

    def moved(edge: Edge) -> Edge:
        return body.to_piece(edge[0]), body.to_piece(edge[1])

    turned = [
        Seam(moved(edge), (body.direction_to_piece(one), body.direction_to_piece(other)), out)
        for edge, (one, other), out in seams
    ]
    return [moved(edge) for edge in edges], turned


def edges(body: Body) -> list[Edge]:
    """The edges of a part in the piece's axes. Not to be changed."""
    return _lines(body)[0]


def outlines(body: Body, leaves: Callable[[Plane], float]) -> list[Edge]:
    """Where a curve that stands out turns away from who looks: a line between two of its chords, no edge of the part.

    ``leaves`` tells of a plane whether it faces them (positive), as a view does.
    """
    return [
        seam.edge
        for seam in _lines(body)[1]
        if seam.stands_out
        and len({leaves(Plane(normal, dot(normal, seam.edge[0]))) > 0 for normal in seam.normals}) == 2
    ]


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
        if value - last > ON:
            level = value
        levels[value] = level
        last = value
    return levels


# ---------------------------------------------------------------- seams


class _Smooth(dict[Plane, float]):
    """How far a plane turns from those beside it in a curve, in radians: of what is no chord of one, 0."""

    def __init__(self, chords: Sequence[Plane]) -> None:
        super().__init__()
        bends = ((one, other, norm(cross(one.normal, other.normal))) for one, other in pairwise(chords))
        self._chords = [
            (each, bend)
            for one, other, bend in bends
            if bend < _CURVED and dot(one.normal, other.normal) > 0
            for each in (one, other)
        ]

    def __missing__(self, plane: Plane) -> float:
        self[plane] = max((bend for chord, bend in self._chords if _one_plane(plane, chord)), default=0.0)
        return self[plane]

    def holds(self, one: Plane, other: Plane) -> bool:
        """Whether two planes lie to one another as a chord to the next, or to what the curve runs out into."""
        bent = norm(cross(one.normal, other.normal))
        return bent < _CURVED and bent <= 1.05 * max(self[one], self[other])


def _seam(wood: Sequence[Cell], at: Vector, way: Vector, planes: Sequence[Plane]) -> Seam | None:
    """The seam at a place of a line in which two surfaces end that lie nearly in one plane; none where the wood between
    them is a sharp edge."""
    one, other = (plane.normal for plane in planes)
    if dot(one, other) < 0:
        other = scaled(other, -1.0)
    # The two planes part what is round the line in two wide sectors, above and below them, and two narrow ones.
    up = unit(plus(one, other))
    aside = unit(cross(way, up))
    above, below, left, right = (
        _inside(wood, plus(at, step, far)) for step in (up, aside) for far in (_BESIDE, -_BESIDE)
    )
    if above is below or left is not right:
        return None
    out = -1.0 if above else 1.0
    return Seam((at, at), (scaled(one, out), scaled(other, out)), not left)


def _one_plane(one: Plane, other: Plane) -> bool:
    same = dot(one.normal, other.normal)
    return abs(same) > 1 - TOUCH and abs(one.offset - (other.offset if same > 0 else -other.offset)) < _OFF


_Stretches = list[tuple[float, float, list[Plane]]]


def _rims(shapes: Sequence[Shape]) -> Iterator[tuple[Vector, Vector, _Stretches]]:
    """The lines on which pieces of wood have edges, each as its point nearest to the origin and its way; and stretch by
    stretch the planes in which a surface of the whole ends there.

    All rims run against the clock: where a face goes on in the next, or lies back to back with another, theirs run
    both ways and cancel.
    """
    shapes = [tuple(face for face in faces if norm(turning(face)) > STILL) for faces in shapes]
    normals = [(unit(turning(face)), face[0]) for faces in shapes for face in faces]
    planes, number_of = _planes([(normal, dot(normal, corner)) for normal, corner in normals])
    runs: defaultdict[Edge, Counter[int]] = defaultdict(Counter)
    every = (face for faces in _settled(shapes) for face in faces)
    for face, number in zip(every, number_of, strict=True):
        for a, b in zip(face, (*face[1:], face[0]), strict=True):
            if a != b:
                runs[min(a, b), max(a, b)][number] += 1 if a < b else -1
    found = []
    for (a, b), ends in runs.items():
        if any(ends.values()):
            way, out = _one_way(unit(minus(b, a)))
            low, high = sorted((dot(a, way), dot(b, way)))
            told = {number: out * many for number, many in ends.items() if many}
            found.append(((*way, *plus(a, way, -dot(a, way))), (low, high, told)))
    lines = grouped(zip(_alike([at for at, _ in found]), (span for _, span in found), strict=True))
    for (u, v, w, x, y, z), spans in lines.items():
        order = sorted(set(_levels(end for low, high, _ in spans for end in (low, high)).values()))
        stretches: _Stretches = []
        for low, high in pairwise(order):
            ending: Counter[int] = Counter()
            for start, stop, told in spans:
                if start < (low + high) / 2 < stop:
                    ending.update(told)
            stretches.append((low, high, [planes[number] for number, many in ending.items() if many]))
        yield (x, y, z), (u, v, w), stretches


def _planes(faces: Iterable[tuple[Vector, float]]) -> tuple[list[Plane], list[int]]:
    """The planes that faces lie in, each once, and the number of each face's."""
    ways = [(_one_way(normal), offset) for normal, offset in faces]
    keys = _alike([(*way, out * offset) for (way, out), offset in ways])
    numbers = {key: number for number, key in enumerate(dict.fromkeys(keys))}
    return [Plane((x, y, z), offset) for x, y, z, offset in numbers], [numbers[key] for key in keys]


def _one_way(way: Vector) -> tuple[Vector, float]:
    """A direction or the other way, the same for both, and 1 or -1: whether it was turned round."""
    x, y, z = way
    if (x if abs(x) > ON else y if abs(y) > ON else z) > 0:
        return way, 1.0
    return (-x, -y, -z), -1.0


def _alike(rows: Sequence[tuple[float, ...]]) -> list[tuple[float, ...]]:
    """Rows of numbers with one number for all as good as equal in their column."""
    columns = [(column, _levels(column)) for column in zip(*rows, strict=True)]
    return list(zip(*([levels[each] for each in column] for column, levels in columns), strict=True))


def _inside(cells: Iterable[Cell], own: Vector) -> bool:
    x, y, z = own
    return any(
        a < x < p and b < y < q and c < z < r and all(plane.depth(own) > 0 for plane in cuts)
        for ((a, b, c), (p, q, r)), cuts in cells
    )


# ---------------------------------------------------------------- faces


@lru_cache(maxsize=512)
def _faces_of(shapes: tuple[Shape, ...]) -> list[Face]:
    """The surface of a part in its own frame, as convex faces that do not overlap."""
    cells = [[Face(face, unit(turning(face))) for face in faces if area(face) > TOUCH] for faces in shapes]
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
            found += [Face(polygon, face.normal) for polygon in left if area(polygon) > TOUCH]
    return found


def _back_to_back(face: Face, other: Face) -> bool:
    """Whether two faces lie in one plane and look away from one another."""
    return (
        dot(face.normal, other.normal) < -1 + TOUCH
        and abs(dot(face.normal, minus(face.corners[0], other.corners[0]))) < ON
    )


def _less(polygon: Polygon, other: Face) -> list[Polygon]:
    """A convex polygon less another in its plane, in convex pieces."""
    left: list[Polygon] = []
    inside = polygon
    corners = other.corners
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        out = cross(minus(b, a), other.normal)
        if norm(out) < TOUCH:
            continue
        out = unit(out)
        fence = Plane(out, dot(out, a))
        beyond = clipped(inside, Plane(scaled(out, -1.0), -fence.offset))
        inside = clipped(inside, fence)
        if area(beyond) > TOUCH:
            left.append(beyond)
        if area(inside) < TOUCH:
            return [polygon]
    return left


@lru_cache(maxsize=2048)
def faces(body: Body) -> list[Face]:
    """The surface of a part in the piece's axes, as convex faces that do not overlap; kept, and not to be changed."""
    return [
        Face(tuple(map(body.to_piece, face.corners)), body.direction_to_piece(face.normal))
        for face in _faces_of(body.own_shapes)
    ]


def turning(face: Polygon) -> Vector:
    """Square to a flat polygon, twice its area long, toward those who see it against the clock."""
    return total(cross(a, b) for a, b in zip(face, (*face[1:], face[0]), strict=True))
