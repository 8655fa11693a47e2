"""The wood that is really there: a part's box less all that is cut from it, in its place.

Two mechanisms serve all forms. What leaves the part convex is planes that trim its box: ends and edges cut aslant,
tapers, chamfers, rounded corners, bows. What is taken out of it is convex solids: rabbets, grooves, dados and notches,
holes, slots, arches. A body is a union of convex *cells*, boxes in the part's own frame, each trimmed by planes. The
cells do not overlap, so volumes add up; a ray meets the body if it meets one cell.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.carving import Shape, boxed, cells_left, cut_off, shapes_of
from planlint.geometry.shapes.cells import Box, Cell, Plane, boxes_round, cell_less, united
from planlint.geometry.shapes.polygons import Polygon
from planlint.geometry.shapes.vectors import AXES, Matrix, dot, minus, plus, scaled, turned, turned_back, unit
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.plan import EndCut, Part
from planlint.model.wood_cuts import plane_of
from planlint.placement.part_frames import rotation
from planlint.text.rounding import SAME_WAY, STILL, TOUCH

__all__ = ["Body", "Box", "Cell", "Layer", "Plane", "Shape", "body_planes", "body_polyhedra"]


class Layer(NamedTuple):
    """A body glued to a face: the face, and the other body with its own."""

    face: Side
    body: Body
    back: Side


class Body:
    """One part where it stands. Points and planes are in the piece's axes unless a name says ``own``."""

    def __init__(self, part: Part, origin: Vector, taper: EndCut | None = None) -> None:
        """With a ``taper`` its side is that slant, and not the flat before it: the wood is the same."""
        self.part = part
        self._taper = taper
        self.origin = origin
        sx, sy, sz = part.size
        self.size: Vector = (float(sx), float(sy), float(sz))
        self.rotation: Matrix | None = rotation(part) if part.turn is not None else None
        self.slants = part.slants if taper is None else (*part.slants, taper)
        self.cut_ends = tuple(cut.end for cut in self.slants)
        self.layers: tuple[Layer, ...] = ()
        """What is glued to its faces, and is one piece of wood with it."""

    @property
    def plain(self) -> bool:
        """Whether the body is just a box along the piece's axes."""
        return self.rotation is None and not self.own_cuts and not self.part.removals

    @cached_property
    def square(self) -> bool:
        """Whether all its wood is boxes along its own axes."""
        return not self.own_cuts and not any(removal.cuts for removal in self.own_removals)

    @cached_property
    def middle(self) -> Vector:
        """Middle of the part's box, about which it is turned."""
        return plus(self.origin, self.size, 0.5)

    def on_taper(self, taper: EndCut | None) -> Body:
        """The same part, met at the slant of a taper."""
        if taper is None:
            return self
        body = Body(self.part, self.origin, taper)
        body.layers = self.layers
        return body

    def moved(self, by: Vector) -> Body:
        """The same wood elsewhere."""
        body = Body(self.part, plus(self.origin, by), self._taper)
        body.own_cells, body.own_shapes = self.own_cells, self.own_shapes
        return body

    def cut_at(self, side: Side) -> EndCut | None:
        """The cut at one side, if it is not square."""
        return next((cut for cut in self.slants if cut.end is side), None)

    # ------------------------------------------------------------ frames

    def to_piece(self, own: Vector) -> Vector:
        """A point of the own frame in the piece's axes."""
        if self.rotation is None:
            return plus(self.origin, own)
        return plus(self.middle, turned(self.rotation, plus(own, self.size, -0.5)))

    def to_own(self, point: Vector) -> Vector:
        if self.rotation is None:
            return minus(point, self.origin)
        return plus(turned_back(self.rotation, minus(point, self.middle)), self.size, 0.5)

    def direction_to_piece(self, own: Vector) -> Vector:
        return own if self.rotation is None else turned(self.rotation, own)

    def direction_to_own(self, direction: Vector) -> Vector:
        return direction if self.rotation is None else turned_back(self.rotation, direction)

    # ------------------------------------------------------------ surfaces

    @cached_property
    def own_planes(self) -> dict[Side, Plane]:
        """The six sides in the own frame; a cut end is the plane of its cut."""
        planes = {}
        for side in SIDES:
            if side in self.cut_ends:
                cut = self.cut_at(side)
                planes[side] = _plane(*plane_of(self.size, side, cut, cut.start if cut else 0))
            else:
                axis = side.axis
                n = _UNIT_NORMALS[side]
                planes[side] = Plane(n, self.size[axis] if side.sign > 0 else 0.0)
        return planes

    @cached_property
    def planes(self) -> dict[Side, Plane]:
        """The six sides in the piece's axes."""
        return {side: self.in_piece(plane) for side, plane in self.own_planes.items()}

    def in_piece(self, plane: Plane) -> Plane:
        """A plane of the own frame in the piece's axes."""
        n, d = plane
        if self.rotation is None:
            return Plane(n, d + dot(n, self.origin))
        normal = turned(self.rotation, n)
        return Plane(normal, dot(normal, self.to_piece(scaled(n, d))))

    @cached_property
    def own_cuts(self) -> tuple[Plane, ...]:
        """The planes that trim the box, own frame."""
        return (*(self.own_planes[end] for end in self.cut_ends), *self.trim_planes)

    @cached_property
    def own_trims(self) -> tuple[tuple[str, Plane], ...]:
        """Those of them that are no side of the part, with what they are of: a taper, a chamfer … (own frame)."""
        trims = [(trim.kind, Plane(*plane)) for trim in self.part.trims for plane in trim.planes]
        if self._taper is not None:
            own = self.own_planes[self._taper.end]
            trims = [each for each in trims if not _same(each[1], own)]
        cuts = [("end cut", _plane(*plane_of(self.size, cut.end, cut))) for cut in self.part.second_cuts]
        return (*cuts, *trims)

    @cached_property
    def trim_planes(self) -> tuple[Plane, ...]:
        return tuple(plane for _, plane in self.own_trims)

    @cached_property
    def round_planes(self) -> tuple[Plane, ...]:
        """Those planes that are chords of a curve, each curve's in order (own frame)."""
        found = [plane for kind, plane in self.own_trims if kind in _ROUND]
        return (*found, *(plane for removal in self.own_removals for plane in removal.cuts))

    @cached_property
    def own_cells(self) -> tuple[Cell, ...]:
        """The part's wood in convex cells that do not overlap."""
        return cells_left(self.size, self.own_cuts, self.own_removals, trimmed=bool(self.part.trims))

    @cached_property
    def own_shapes(self) -> tuple[Shape, ...]:
        """The faces of each of these cells."""
        return shapes_of(self.own_cells)

    @cached_property
    def own_boxes(self) -> tuple[Box, ...]:
        """The part's wood in boxes: a round hole is as large as its box, what is tapered or curved told in slices."""
        cells = [Cell(Box((0.0, 0.0, 0.0), self.size), self.own_cuts)]
        for gone in self.own_removals:
            for box in boxed(gone):
                cells = [Cell(left, cell.cuts) for cell in cells for left in cell_less(cell.box, box)]
        return tuple(box for cell in cells for box in boxed(cell))

    @cached_property
    def own_solid(self) -> tuple[Box, ...]:
        """Boxes that are wood all through: what is left beside the boxes round all that is cut away."""
        whole = Box((0.0, 0.0, 0.0), self.size)
        cut = [[self.own_planes[end]] for end in self.cut_ends]
        cut += [[Plane(*plane) for plane in trim.planes] for trim in self.part.trims]
        gone = [box for planes in cut if (box := cut_off(whole, planes)) is not None]
        found = [whole]
        for box in (*gone, *(removal.box for removal in self.own_removals)):
            found = [left for each in found for left in cell_less(each, box)]
        return tuple(found)

    @cached_property
    def own_removals(self) -> tuple[Cell, ...]:
        """What each rabbet, groove, hole … takes away, in their order."""
        return tuple(
            Cell(Box(_floats(r.low), _floats(r.high)), tuple(Plane(*plane) for plane in r.planes))
            for r in self.part.removals
        )

    # ------------------------------------------------------------ extent

    @cached_property
    def bounds(self) -> Box:
        """The smallest box along the piece's axes round the part's uncut box; of a turned part round what is left."""
        if self.rotation is None:
            return Box(self.origin, plus(self.origin, self.size))
        corners = [point for shape in self.own_shapes for face in shape for point in face]
        own = corners or Box((0.0, 0.0, 0.0), self.size).corners
        return boxes_round([Box(point, point) for point in map(self.to_piece, own)])

    @property
    def grain(self) -> Vector:
        """Unit vector along the part's length."""
        return self.along(self.part.grain)

    def along(self, axis: Axis) -> Vector:
        """Unit vector along one of the part's own axes, in the piece's."""
        return self.direction_to_piece(AXES[axis])

    def backed(self, side: Side, points: Iterable[Vector]) -> bool:
        """Whether what is glued to a side lies behind each of some points of this body."""
        plane = self.planes[side]
        behind = [plus(point, plane.normal, plane.depth(point) + _BEHIND) for point in points]
        return any(
            layer.face is side and all(layer.body.holds(point) for point in behind) for layer in self.layers
        )

    # ------------------------------------------------------------ lines

    def stretches(self, start: Vector, end: Vector) -> list[tuple[float, float]]:
        """Where the segment from ``start`` (0) to ``end`` (1) runs in wood: intervals, in order, merged."""
        a, b = self.to_own(start), self.to_own(end)
        d = minus(b, a)
        if len(self.own_cells) > 1:
            # A line that runs in a wall between two cells is inside neither: it is in wood if both sides of it are.
            for i in range(3):
                if abs(d[i]) < STILL and any(
                    abs(wall[i] - a[i]) < TOUCH for cell in self.own_cells for wall in cell.box
                ):
                    left, right = list(a), list(a)
                    left[i], right[i] = a[i] - 2 * TOUCH, a[i] + 2 * TOUCH
                    return _both(
                        self._runs((left[0], left[1], left[2]), d),
                        self._runs((right[0], right[1], right[2]), d),
                    )
        return self._runs(a, d)

    def _runs(self, a: Vector, d: Vector) -> list[tuple[float, float]]:
        """Where ``a + t d`` (own frame) runs in wood, 0 <= t <= 1."""
        if not self.square and self.part.removals:
            return self._runs_between(a, d)
        found = []
        for cell in self.own_cells:
            span = clip_to_box(a, d, cell.box)
            if span is not None:
                trimmed = _clip_to_planes(a, d, cell.cuts, *span)
                if trimmed is not None:
                    found.append(trimmed)
        return united(found, TOUCH) if len(found) > 1 else found

    def _runs_between(self, a: Vector, d: Vector) -> list[tuple[float, float]]:
        """The same by what is taken away: of a part with curves that is far less than there are cells."""
        whole = Cell(Box((0.0, 0.0, 0.0), self.size), self.own_cuts)
        span = _clip_to_cell(a, d, whole)
        if span is None:
            return []
        at, end = span
        found = []
        for low, high in sorted(
            each for gone in self.own_removals if (each := _clip_to_cell(a, d, gone)) is not None
        ):
            if min(low, end) > at + STILL:
                found.append((at, min(low, end)))
            at = max(at, high)
        if end > at + STILL:
            found.append((at, end))
        return found

    def holds(self, point: Vector, slack: float = TOUCH) -> bool:
        """Whether a point lies in wood (its surface included, within ``slack``)."""
        own = self.to_own(point)
        return any(
            all(low[i] - slack <= own[i] <= high[i] + slack for i in range(3))
            and all(plane.depth(own) >= -slack for plane in cuts)
            for (low, high), cuts in self.own_cells
        )


def body_polyhedra(body: Body) -> list[list[Polygon]]:
    """The convex pieces of a body in the piece's axes, each as its faces."""
    return [[tuple(map(body.to_piece, face)) for face in faces] for faces in body.own_shapes if faces]


def body_planes(body: Body, cell: Cell) -> list[Plane]:
    """The planes that bound one cell of a body, in the piece's axes."""
    planes = []
    for axis in range(3):
        for sign, bound in ((-1.0, cell.box.low), (1.0, cell.box.high)):
            own = (sign if axis == 0 else 0.0, sign if axis == 1 else 0.0, sign if axis == 2 else 0.0)
            normal = body.direction_to_piece(own)
            planes.append(Plane(normal, dot(normal, body.to_piece(bound))))
    return [*planes, *(body.in_piece(plane) for plane in cell.cuts)]


_UNIT_NORMALS: dict[Side, Vector] = {side: scaled(AXES[side.axis], float(side.sign)) for side in SIDES}


def _plane(point: tuple[object, object, object], normal: tuple[object, object, object]) -> Plane:
    n = unit(_floats(normal))
    return Plane(n, dot(n, _floats(point)))


def _floats(size: tuple[object, object, object]) -> Vector:
    x, y, z = size
    return float(x), float(y), float(z)  # type: ignore[arg-type]


def _same(one: Plane, other: Plane) -> bool:
    return dot(one.normal, other.normal) > SAME_WAY and abs(one.offset - other.offset) < TOUCH


_ROUND = frozenset({"rounding", "bow"})
"""Trims whose planes are chords of a curve."""
_BEHIND = 1e-3
"""Inches behind a face at which what is glued to it is looked for. Basis: our own judgement, thinner than veneer."""


def _both(one: list[tuple[float, float]], other: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The stretches that lie in both of two lists."""
    shared = ((max(a, c), min(b, d)) for a, b in one for c, d in other)
    return [(low, high) for low, high in shared if high - low > STILL]


def clip_to_box(a: Vector, d: Vector, box: Box) -> tuple[float, float] | None:
    """The part of ``a + t d``, 0 <= t <= 1, inside a box; ``None`` if it is no longer than a touch."""
    low, high = 0.0, 1.0
    for i in range(3):
        di = d[i]
        if abs(di) < STILL:
            if not box.low[i] < a[i] < box.high[i]:
                return None
            continue
        t0, t1 = (box.low[i] - a[i]) / di, (box.high[i] - a[i]) / di
        if t0 > t1:
            t0, t1 = t1, t0
        low, high = max(low, t0), min(high, t1)
        if high - low < STILL:
            return None
    return low, high


def _clip_to_cell(a: Vector, d: Vector, cell: Cell) -> tuple[float, float] | None:
    span = clip_to_box(a, d, cell.box)
    return span and _clip_to_planes(a, d, cell.cuts, *span)


def _clip_to_planes(
    a: Vector, d: Vector, planes: tuple[Plane, ...], low: float, high: float
) -> tuple[float, float] | None:
    for plane in planes:
        depth, slope = plane.depth(a), -dot(plane.normal, d)
        if abs(slope) < STILL:
            if depth < 0:
                return None
        elif slope > 0:
            low = max(low, -depth / slope)
        else:
            high = min(high, -depth / slope)
    return (low, high) if high - low > STILL else None
