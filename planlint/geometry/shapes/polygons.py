"""Convex polygons and polyhedra cut by planes (Sutherland and Hodgman's clipping, 1974)."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.cells import Box, Cell, Plane
from planlint.geometry.shapes.vectors import cross, dot, minus, norm, plus, scaled, total, unit
from planlint.text.rounding import ON, TOUCH

Polygon = tuple[Vector, ...]
"""Corners of a convex flat polygon, in order; empty when nothing is left."""


def clipped(polygon: Sequence[Vector], plane: Plane) -> Polygon:
    """The part of a convex polygon inside a plane."""
    kept: list[Vector] = []
    if not polygon:
        return ()
    previous = polygon[-1]
    depth_before = plane.depth(previous)
    for point in polygon:
        depth = plane.depth(point)
        if (depth >= -TOUCH) != (depth_before >= -TOUCH):
            share = depth_before / (depth_before - depth)
            kept.append(plus(previous, minus(point, previous), share))
        if depth >= -TOUCH:
            kept.append(point)
        previous, depth_before = point, depth
    return tuple(kept)


def clipped_by_all(polygon: Polygon, planes: Iterable[Plane]) -> Polygon:
    for plane in planes:
        polygon = clipped(polygon, plane)
        if not polygon:
            break
    return polygon


def area(polygon: Sequence[Vector]) -> float:
    """Area of a flat convex polygon, in square inches."""
    if len(polygon) < 3:
        return 0.0
    total: Vector = (0.0, 0.0, 0.0)
    first = polygon[0]
    for a, b in pairwise(polygon[1:]):
        total = plus(total, cross(minus(a, first), minus(b, first)))
    return 0.5 * norm(total)


def middle(polygon: Sequence[Vector]) -> Vector:
    """Mean of the corners: a point inside."""
    return scaled(total(polygon), 1 / len(polygon))


# ---------------------------------------------------------------- polyhedra


def box_faces(box: Box) -> list[Polygon]:
    """The six faces of a box, each seen against the clock from outside."""
    (x0, y0, z0), (x1, y1, z1) = box
    return [
        ((x0, y0, z0), (x0, y0, z1), (x0, y1, z1), (x0, y1, z0)),
        ((x1, y0, z0), (x1, y1, z0), (x1, y1, z1), (x1, y0, z1)),
        ((x0, y0, z0), (x1, y0, z0), (x1, y0, z1), (x0, y0, z1)),
        ((x0, y1, z0), (x0, y1, z1), (x1, y1, z1), (x1, y1, z0)),
        ((x0, y0, z0), (x0, y1, z0), (x1, y1, z0), (x1, y0, z0)),
        ((x0, y0, z1), (x1, y0, z1), (x1, y1, z1), (x0, y1, z1)),
    ]


def cut(faces: list[Polygon], plane: Plane) -> list[Polygon]:
    """A convex polyhedron cut by a plane: its faces trimmed, and the new face that closes it."""
    kept = []
    rim: list[Vector] = []
    trimmed_any = False
    for face in faces:
        if all(plane.depth(point) >= -TOUCH for point in face):
            kept.append(face)
            continue
        trimmed_any = True
        trimmed = clipped(face, plane)
        if trimmed:
            kept.append(trimmed)
            rim += [point for point in trimmed if abs(plane.depth(point)) < ON]
    if trimmed_any and len(rim) > 2:
        lid = _ordered(rim, plane.normal)
        if lid:
            kept.append(lid)
    return kept


@lru_cache(maxsize=256)  # Each place that is tried for a pocket asks for those of the same cuts.
def cell_corners(cell: Cell) -> tuple[Vector, ...]:
    """The corners of a convex cell; none where nothing is left."""
    corners = cell.box.corners
    if all(plane.depth(corner) >= 0 for plane in cell.cuts for corner in corners):
        return tuple(corners)
    return tuple(dict.fromkeys(corner for face in cell_faces(cell) for corner in face))


def volume(faces: list[Polygon]) -> float:
    """Volume of a convex polyhedron, in cubic inches (fan of tetrahedra from one of its corners)."""
    if not faces:
        return 0.0
    apex = faces[0][0]
    total = 0.0
    for face in faces:
        a = minus(face[0], apex)
        for second, third in pairwise(face[1:]):
            total += dot(a, cross(minus(second, apex), minus(third, apex)))
    return abs(total) / 6


def cell_faces(cell: Cell) -> list[Polygon]:
    """The faces of a convex cell; none where its planes leave nothing."""
    faces = box_faces(cell.box)
    for plane in cell.cuts:
        faces = cut(faces, plane)
    return faces


def _ordered(points: list[Vector], normal: Vector) -> Polygon:
    """Points of a convex rim, against the clock about ``normal``, doubles dropped."""
    centre = middle(points)
    spokes = [minus(point, centre) for point in points]
    far = max(spokes, key=norm)
    if norm(far) < TOUCH:
        return ()
    u = unit(far)
    v = cross(normal, u)

    def turn(spoke: Vector) -> float:
        # A diamond angle: grows with the true angle, without a call to atan2.
        x, y = dot(spoke, u), dot(spoke, v)
        size = abs(x) + abs(y) or 1.0
        return 1 - x / size if y >= 0 else 3 + x / size

    rim: list[Vector] = []
    for spoke in sorted(spokes, key=turn):
        point = plus(centre, spoke)
        if not rim or norm(minus(point, rim[-1])) > ON:
            rim.append(point)
    if len(rim) > 1 and norm(minus(rim[0], rim[-1])) <= ON:
        rim.pop()
    return tuple(rim) if len(rim) > 2 else ()
