"""Where two parts touch: the patch that a joint really has, less what grooves and cuts took away."""

from collections.abc import Iterable, Iterator
from math import acos, degrees, inf

from planlint.geometry.joint_facts import Contact, Vector
from planlint.geometry.shapes.body import Body, Box, Cell, Plane
from planlint.geometry.shapes.polygons import Polygon, area, clipped_by_all, middle
from planlint.geometry.shapes.vectors import cross, dot, minus, norm, plus, scaled, unit
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.plan import Join
from planlint.text.rounding import ROUNDING, TOUCH

_OPPOSED = -1 + 1e-12
_NO_AREA = 1e-6
"""Square inches below which a scrap of a side is rounding, not a surface."""


def contact(join: Join, body_a: Body, body_b: Body) -> Contact:
    """How side A of a join meets side B, with both bodies in their places.

    Where A reaches into B by a traditional joint, the patch is A's side within B's outline.
    """
    plane_a, plane_b = body_a.planes[join.side_a], body_b.planes[join.side_b]
    cosine = dot(plane_a.normal, plane_b.normal)
    askew = 0.0 if cosine <= _OPPOSED else degrees(acos(max(-1.0, min(1.0, -cosine))))
    if body_a.plain and body_b.plain and not askew:
        patches = _box_patch(body_a.bounds, body_b.bounds, join.side_a)
    elif askew > 1:
        patches = ()
    else:
        buried = bool(join.tradition and join.tradition.inset)
        ends = side_polygons(body_a, join.side_a)
        if buried and not ends:
            # A lap cut into A as well takes the very side away that the joint is named by.
            ends = side_polygons(body_a, join.side_a, whole=True)
        patches = _patches(ends, body_b, join.side_b, whole=buried)
        if buried and not patches:
            # … or takes it away just where B lies.
            patches = _patches(
                side_polygons(body_a, join.side_a, whole=True), body_b, join.side_b, whole=buried
            )
        if join.tradition and buried:
            # A groove may be deeper than its panel goes in: then the panel ends before its floor.
            patches = _on_floor(patches, body_b, join.side_b, float(join.tradition.inset)) or patches
    origin = patches[0][0] if patches else scaled(plane_a.normal, plane_a.offset)
    gap = -plane_b.offset - plane_a.offset
    if askew:
        gap = plane_b.depth(origin) / cosine if cosine else inf  # Square to one another: no gap closes.
    return Contact(origin, plane_a.normal, patches, sum(map(area, patches)), gap, askew)


def _box_patch(a: Box, b: Box, side: Side) -> tuple[Polygon, ...]:
    """The rectangle two plain boxes share, in the plane of ``side`` of the first."""
    at = (a.high if side.sign > 0 else a.low)[side.axis]
    (p0, q0, r0), (s0, t0, u0) = a
    (p1, q1, r1), (s1, t1, u1) = b
    x0, y0, z0 = p0 if p0 > p1 else p1, q0 if q0 > q1 else q1, r0 if r0 > r1 else r1
    x1, y1, z1 = s0 if s0 < s1 else s1, t0 if t0 < t1 else t1, u0 if u0 < u1 else u1
    shared = [x1 - x0 > ROUNDING, y1 - y0 > ROUNDING, z1 - z0 > ROUNDING]
    shared[side.axis] = True
    if not all(shared):
        return ()
    if side.axis == 0:
        return (((at, y0, z0), (at, y1, z0), (at, y1, z1), (at, y0, z1)),)
    if side.axis == 1:
        return (((x0, at, z0), (x0, at, z1), (x1, at, z1), (x1, at, z0)),)
    return (((x0, y0, at), (x1, y0, at), (x1, y1, at), (x0, y1, at)),)


def side_polygons(body: Body, side: Side, whole: bool = False) -> list[Polygon]:
    """What is left of one side of a body, as convex polygons in the piece's axes; ``whole`` leaves removals out."""
    cells = (Cell(Box((0.0, 0.0, 0.0), body.size), body.own_cuts),) if whole else body.own_cells
    plane = body.own_planes[side]
    found = []
    for cell in cells:
        box = cell.box
        if side in body.cut_ends:
            polygon = clipped_by_all(_wide_square(plane, body.size), _box_planes(box))
        else:
            bound = (box.high if side.sign > 0 else box.low)[side.axis]
            if abs(bound - plane.offset * side.sign) > TOUCH:
                continue
            polygon = _box_face(box, side.axis, bound)
        polygon = clipped_by_all(polygon, (cut for cut in cell.cuts if cut != plane))
        if area(polygon) > _NO_AREA:
            found.append(tuple(body.to_piece(point) for point in polygon))
    return found


def plane_polygon(body: Body, own: Plane) -> Polygon:
    """The face that one of the planes which trim a body gives it, removals left out; in the piece's axes."""
    polygon = clipped_by_all(_wide_square(own, body.size), _box_planes(Box((0.0, 0.0, 0.0), body.size)))
    polygon = clipped_by_all(polygon, (cut for cut in body.own_cuts if cut != own))
    return tuple(map(body.to_piece, polygon))


def _patches(polygons: list[Polygon], other: Body, side: Side, whole: bool) -> tuple[Polygon, ...]:
    """The polygons, each clipped to what the other body's side still has there."""
    found: list[Polygon] = []
    for outline in side_polygons(other, side, whole):
        found += _within(outline, polygons, other.planes[side].normal)
    return tuple(found)


def _within(outline: Polygon, polygons: Iterable[Polygon], normal: Vector) -> Iterator[Polygon]:
    """What of each polygon lies inside an outline; nothing of those that only touch it."""
    fences = _fences(outline, normal)
    shared = (clipped_by_all(polygon, fences) for polygon in polygons)
    return (each for each in shared if area(each) > _NO_AREA)


def _on_floor(patches: tuple[Polygon, ...], other: Body, side: Side, deep: float) -> tuple[Polygon, ...]:
    """What other cuts leave of the floor that a dado, groove or rabbet offers, ``deep`` in from a side; all of the
    patches where nothing is cut so deep there."""
    if side in other.cut_ends:
        return patches
    axis = side.axis
    floor = other.size[axis] - deep if side.sign > 0 else deep
    under = -ROUNDING if side.sign > 0 else ROUNDING

    def on_floor(gone: Cell) -> bool:
        return abs((gone.box.low if side.sign > 0 else gone.box.high)[axis] - floor) < ROUNDING

    if not any(on_floor(gone) for gone in other.own_removals):
        return patches
    found: list[Polygon] = []
    for cell in other.own_cells:
        if cell.box.low[axis] < floor + under < cell.box.high[axis]:
            face = clipped_by_all(_box_face(cell.box, axis, floor), cell.cuts)
            if face:
                outline = tuple(map(other.to_piece, face))
                found += _within(outline, patches, other.planes[side].normal)
    return tuple(found)


def _fences(outline: Polygon, normal: Vector) -> list[Plane]:
    """Planes square to a polygon's own, one along each of its edges, that hold it in."""
    inside = middle(outline)
    fences = []
    for a, b in zip(outline, (*outline[1:], outline[0]), strict=True):
        out = cross(minus(b, a), normal)
        if norm(out) < TOUCH:
            continue  # clipping at a corner leaves it twice
        out = unit(out)
        if dot(out, minus(inside, a)) > 0:
            out = scaled(out, -1)
        fences.append(Plane(out, dot(out, a)))
    return fences


def _wide_square(plane: Plane, size: Vector) -> Polygon:
    """A square in the plane, wider than the part."""
    n = plane.normal
    helper: Vector = (1.0, 0.0, 0.0) if abs(n[0]) < 0.7 else (0.0, 1.0, 0.0)
    u = unit(cross(n, helper))
    v = cross(n, u)
    reach = 4 * sum(size)
    centre = plus(scaled(n, plane.offset - dot(n, scaled(size, 0.5))), size, 0.5)
    return tuple(
        plus(plus(centre, u, a * reach), v, b * reach) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    )


def _box_planes(box: Box) -> list[Plane]:
    planes = []
    for side in SIDES:
        normal = [0.0, 0.0, 0.0]
        normal[side.axis] = float(side.sign)
        bound = (box.high if side.sign > 0 else box.low)[side.axis]
        planes.append(Plane((normal[0], normal[1], normal[2]), bound * side.sign))
    return planes


def _box_face(box: Box, axis: Axis, bound: float) -> Polygon:
    i, j = (axis + 1) % 3, (axis + 2) % 3

    def corner(p: float, q: float) -> Vector:
        point = [bound, bound, bound]
        point[i], point[j] = p, q
        return point[0], point[1], point[2]

    (li, lj), (hi, hj) = (box.low[i], box.low[j]), (box.high[i], box.high[j])
    return corner(li, lj), corner(hi, lj), corner(hi, hj), corner(li, hj)
