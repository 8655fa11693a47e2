"""Which stretches of the edges of solids are seen, and which lie behind wood.

Each edge is swept toward who looks. Where that strip runs inside a convex piece of wood, the edge is hidden: with the
piece's planes that is a set of linear inequalities in the place along the edge and the way to the eye, of which the way
is eliminated (Fourier and Motzkin). Nothing is sampled.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from math import inf
from typing import NamedTuple

from planlint.drawings.true_edges import Edge, edges, outlines
from planlint.drawings.view_window import EVERYWHERE, Window, inside
from planlint.drawings.viewpoints import NEAR, SeenAt, View
from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body, Box, Plane, body_planes
from planlint.geometry.shapes.box_index import BoxTree
from planlint.geometry.shapes.cells import OnLine, united
from planlint.geometry.shapes.polygons import clipped
from planlint.geometry.shapes.vectors import cross, dot, minus, plus
from planlint.text.rounding import ROUNDING, STILL, TOUCH

_GRAZES = 1e-9
"""A plane that turns away from the line of sight by less holds it."""

_AT_THE_EYE = 0.01
"""Inches before an eye from which on wood is taken to cover something."""


class EdgeRun(NamedTuple):
    """Part of an edge on paper, of part ``part`` (its index)."""

    a: SeenAt
    b: SeenAt
    part: int
    hidden: bool


_Bound = tuple[float, float, float, float, float]
"""A plane: its normal, its offset, and one over how fast one comes through it on the way to the eye."""
_Bounds = tuple[_Bound, ...]


class _WoodInView(NamedTuple):
    """A convex piece of wood as a view sees it: the planes through which one comes into it on the way to the eye,
    those through which one leaves it, and those along which one goes (of these the last number means nothing)."""

    entered: _Bounds
    left: _Bounds
    grazed: _Bounds
    box: Window
    """Where it lies on paper."""
    front: float
    """How far it comes toward who looks."""


@lru_cache(maxsize=2048)
def _cells(body: Body, view: View) -> list[_WoodInView]:
    """The convex pieces of a body, less those behind the eye; kept, as each step of the work looks at them again."""
    found = []
    for cell, faces in zip(body.own_cells, body.own_shapes, strict=True):
        corners = [body.to_piece(corner) for corner in {corner for face in faces for corner in face}]
        front = max((dot(corner, view.toward) for corner in corners), default=0.0)
        if view.eye is not None and any(view.ahead(corner) < _AT_THE_EYE for corner in corners):
            # What reaches behind the eye covers what its part before the eye does.
            before = Plane(view.toward, dot(view.eye, view.toward) - _AT_THE_EYE)
            shapes = (clipped(tuple(map(body.to_piece, face)), before) for face in faces)
            corners = [corner for shape in shapes for corner in shape]
        if corners:
            xs, ys = zip(*map(view.flat, corners), strict=True)
            box = min(xs), min(ys), max(xs), max(ys)
            found.append(_WoodInView(*_bounds(body_planes(body, cell), view), box, front - ROUNDING))
    return found


def _bounds(planes: Iterable[Plane], view: View) -> tuple[_Bounds, _Bounds, _Bounds]:
    entered, left, grazed = list[_Bound](), list[_Bound](), list[_Bound]()
    for (x, y, z), offset, speed in ((plane.normal, plane.offset, view.leaves(plane)) for plane in planes):
        if speed < -_GRAZES:
            entered.append((x, y, z, offset, -1 / speed))
        elif speed > _GRAZES:
            left.append((x, y, z, offset, 1 / speed))
        else:
            grazed.append((x, y, z, offset, 0.0))
    return tuple(entered), tuple(left), tuple(grazed)


class Scene:
    """Some bodies, looked at one way; through a ``window`` of the view only what lies in it is looked at."""

    def __init__(self, bodies: Iterable[Body], view: View, window: Window = EVERYWHERE) -> None:
        self.bodies = tuple(bodies)
        self.view = view
        self.window = window
        left, low, right, high = window
        self._cells = [
            cell
            for body in self.bodies
            for cell in _cells(body, view)
            if cell.box[0] <= right and cell.box[2] >= left and cell.box[1] <= high and cell.box[3] >= low
        ]
        self._grid = PaperGrid(cell.box for cell in self._cells)
        self._last = -1
        """The piece that hid the whole of an edge last: likely it does so with the next one."""

    def stretches(self) -> list[EdgeRun]:
        """All edges of all bodies, seen and hidden, as far as they lie in the window."""
        found = [each for body in self.bodies for each in self.of_body(body)]
        if self.window == EVERYWHERE:
            return found
        kept = ((each, inside(each.a, each.b, self.window)) for each in found)
        return [each._replace(a=part[0], b=part[1]) for each, part in kept if part is not None]

    def of_body(self, body: Body) -> Iterator[EdgeRun]:
        """All edges of one of the bodies, whatever the window."""
        for edge in self._nearest((*edges(body), *outlines(body, self.view.leaves))):
            yield from self.of_edge(edge, body.part.index)

    def _nearest(self, found: Sequence[Edge]) -> Iterable[Edge]:
        """Of edges of a part that lie behind one another all along, as in a view by a side, the nearest: what is seen
        or hidden of it is as much as would be drawn of the others."""
        if self.view.eye is not None:
            return found
        nearest: dict[object, tuple[float, Edge]] = {}
        for edge in found:
            (a, b), (x, y), (p, q) = edge, *map(self.view.flat, edge)
            ends = (round(x, 6), round(y, 6)), (round(p, 6), round(q, 6))
            far = -dot(a, self.view.toward) - dot(b, self.view.toward)
            key = min(ends), max(ends)
            nearest[key] = min(nearest.get(key, (inf, edge)), (far, edge))
        return [edge for _, edge in nearest.values()]

    def of_edge(self, edge: Edge, part: int) -> Iterator[EdgeRun]:
        """One edge, as the stretches of it that are seen or hidden in turn."""
        cropped = self._before_the_eye(edge)
        if cropped is None:
            return
        a, b = cropped
        at, to = self.view.flat(a), self.view.flat(b)
        if abs(at[0] - to[0]) + abs(at[1] - to[1]) < TOUCH:
            return
        left, low, right, high = self.window
        if max(at[0], to[0]) < left or min(at[0], to[0]) > right:
            return
        if max(at[1], to[1]) < low or min(at[1], to[1]) > high:
            return
        hidden = self.hidden_spans(a, b)
        last = 0.0
        for start, end in hidden:
            if start > last:
                yield EdgeRun(self._at(a, b, last), self._at(a, b, start), part, False)
            yield EdgeRun(self._at(a, b, start), self._at(a, b, end), part, True)
            last = end
        if last < 1:
            yield EdgeRun(self._at(a, b, last), to, part, False)

    def _at(self, a: Vector, b: Vector, t: float) -> SeenAt:
        return self.view.flat(plus(a, minus(b, a), t))

    def _before_the_eye(self, edge: Edge) -> Edge | None:
        if self.view.eye is None:
            return edge
        (a, b), (p, q) = edge, map(self.view.ahead, edge)
        if p < NEAR and q < NEAR:
            return None
        if p < NEAR:
            a = plus(a, minus(b, a), (NEAR - p) / (q - p))
        elif q < NEAR:
            b = plus(b, minus(a, b), (NEAR - q) / (p - q))
        return a, b

    def hidden_spans(self, a: Vector, b: Vector) -> list[OnLine]:
        """Where along ``a`` (0) to ``b`` (1) wood lies before it: apart, in order.

        A piece that the line of sight only grazes hides what lies on its own side. Hidden is what is so on both.
        """
        toward = self.view.toward if self.view.eye is None else minus(self.view.eye, a)
        aside = cross(minus(b, a), toward)
        if self._last >= 0 and _behind(self._cells[self._last], a, b, aside) == _ALL_OF_IT:
            return [(0.0, 1.0)]
        (x, y), (p, q) = self.view.flat(a), self.view.flat(b)
        sides: tuple[list[OnLine], list[OnLine]] = ([], [])
        rear = min(dot(a, self.view.toward), dot(b, self.view.toward))
        for number in self._grid.near(min(x, p), min(y, q), max(x, p), max(y, q)):
            if self._cells[number].front <= rear:
                continue
            found = _behind(self._cells[number], a, b, aside)
            if found is not None:
                if found == _ALL_OF_IT:
                    self._last = number
                    return [(0.0, 1.0)]
                span, left, right = found
                if left:
                    sides[0].append(span)
                if right:
                    sides[1].append(span)
        if not sides[0] or not sides[1]:
            return []
        return _shared(*(_to_the_ends(united(side, ROUNDING)) for side in sides))

    def seen(self, point: Vector) -> bool:
        """Whether a point is seen; one on the surface of wood counts as outside it."""
        if self.view.ahead(point) < NEAR:
            return False
        x, y = self.view.flat(point)
        rear = dot(point, self.view.toward)
        cells = (self._cells[number] for number in self._grid.near(x, y, x, y))
        return not any(cell.front > rear and _covered(cell, point) for cell in cells)


_Behind = tuple[OnLine, bool, bool]
_ALL_OF_IT: _Behind = ((0.0, 1.0), True, True)


def _behind(cell: _WoodInView, a: Vector, b: Vector, aside: Vector) -> _Behind | None:
    """Where an edge lies behind a convex piece of wood, and on which of its two sides that counts."""
    ax, ay, az = a
    bx, by, bz = b
    low, high = 0.0, 1.0
    left = right = True
    leaving: list[tuple[float, float]] = []
    for bounds in (cell.left, cell.grazed):
        for nx, ny, nz, offset, slow in bounds:
            f0 = offset - nx * ax - ny * ay - nz * az
            f1 = offset - nx * bx - ny * by - nz * bz
            if not slow and -ROUNDING < f0 < ROUNDING and -ROUNDING < f1 < ROUNDING:
                # Wood that is grazed hides only what lies inside this plane.
                if nx * aside[0] + ny * aside[1] + nz * aside[2] > 0:
                    left = False
                else:
                    right = False
                continue
            low, high = _above(f0 - ROUNDING, f1 - ROUNDING, low, high)
            if low >= high:
                return None
            if slow:
                leaving.append((f0 * slow, f1 * slow))
    into = [
        ((nx * ax + ny * ay + nz * az - offset) * slow, (nx * bx + ny * by + nz * bz - offset) * slow)
        for nx, ny, nz, offset, slow in cell.entered
    ]
    low, high = _between(into, leaving, low, high)
    if high - low < TOUCH:
        return None
    return ((low, high), left, right) if left or right else None


def _covered(cell: _WoodInView, at: Vector) -> bool:
    """Whether a point lies behind a convex piece of wood; one that is grazed covers what lies in its side too."""
    x, y, z = at
    if any(nx * x + ny * y + nz * z - offset >= ROUNDING for nx, ny, nz, offset, _ in cell.grazed):
        return False
    out = inf
    for nx, ny, nz, offset, slow in cell.left:
        depth = offset - nx * x - ny * y - nz * z
        if depth <= ROUNDING:
            return False
        out = min(out, depth * slow)
    return all(
        (nx * x + ny * y + nz * z - offset) * slow + ROUNDING < out
        for nx, ny, nz, offset, slow in cell.entered
    )


def _between(into: list[OnLine], leaving: list[OnLine], low: float, high: float) -> OnLine:
    """The part of a span in which a way comes in before it goes out: by each plane as far as it runs from 0 to 1.

    What lies between the first way out and the last way in bulges, so it is closed in on from both ends of the span
    along whichever two planes bound it there.
    """
    if not into or not leaving:
        return low, high
    for end in (0, 1):
        while low <= high:
            t = high if end else low
            in0, in1 = max(into, key=lambda each: each[0] + (each[1] - each[0]) * t)
            out0, out1 = min(leaving, key=lambda each: each[0] + (each[1] - each[0]) * t)
            g0, g1 = out0 - in0 - ROUNDING, out1 - in1 - ROUNDING
            if g0 + (g1 - g0) * t > -STILL:
                break
            before = low, high
            low, high = _above(g0, g1, low, high)
            if (low, high) == before:
                break
    return low, high


def _above(g0: float, g1: float, low: float, high: float) -> OnLine:
    """The part of a span in which what runs evenly from ``g0`` to ``g1`` is positive."""
    if g0 > 0:
        if g1 > 0:
            return low, high
        zero = g0 / (g0 - g1)
        return low, zero if zero < high else high
    if g1 <= 0:
        return 1.0, 0.0
    zero = g0 / (g0 - g1)
    return zero if zero > low else low, high


def _to_the_ends(spans: Iterable[OnLine]) -> list[OnLine]:
    return [(0.0 if low < ROUNDING else low, 1.0 if high > 1 - ROUNDING else high) for low, high in spans]


def _shared(one: list[OnLine], other: list[OnLine]) -> list[OnLine]:
    pairs = ((max(a, c), min(b, d)) for a, b in one for c, d in other)
    return sorted((low, high) for low, high in pairs if high - low > ROUNDING)


class PaperGrid:
    """Boxes on paper, asked which of them lie near a place."""

    def __init__(self, boxes: Iterable[Window]) -> None:
        self._tree = BoxTree([Box((left, low, 0.0), (right, high, 0.0)) for left, low, right, high in boxes])

    def near(self, x0: float, y0: float, x1: float, y1: float) -> list[int]:
        """The numbers of those that lie at a box on paper, in no order."""
        return self._tree.near(Box((x0 - ROUNDING, y0 - ROUNDING, 0.0), (x1 + ROUNDING, y1 + ROUNDING, 0.0)))
