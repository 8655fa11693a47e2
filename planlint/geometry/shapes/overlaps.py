"""Parts that run into one another, by volume and depth."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from planlint.geometry.facts import Overlap
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.box_index import overlapping_pairs
from planlint.geometry.shapes.polygons import Polygon, body_planes, body_polyhedra, cut, volume
from planlint.geometry.shapes.vectors import dot

TOUCH = 1e-6
"""Bodies that share less depth than this, in inches, only touch: rounding of turned parts."""


def overlaps(bodies: Sequence[Body], tick: Callable[[], None] = lambda: None) -> list[Overlap]:
    """Every pair of bodies whose solids share wood, in the order of the plan; ``tick`` is called before each."""
    found = []
    for i, j in overlapping_pairs([body.bounds for body in bodies], TOUCH):
        tick()
        shared = overlap(bodies[i], bodies[j])
        if shared is not None:
            found.append(shared)
    return sorted(found, key=lambda each: (each.part_a.index, each.part_b.index))


def overlap(a: Body, b: Body) -> Overlap | None:
    """What two bodies share; depth is the least extent of the shared solid square to a side of either."""
    if a.plain and b.plain:
        sides = [
            min(a.bounds.high[i], b.bounds.high[i]) - max(a.bounds.low[i], b.bounds.low[i]) for i in range(3)
        ]
        if min(sides) <= TOUCH:
            return None
        return Overlap(a.part, b.part, sides[0] * sides[1] * sides[2], min(sides))
    total, depth = 0.0, 0.0
    for piece in body_polyhedra(a):
        for cell in b.own_cells:
            shared = piece
            for plane in body_planes(b, cell):
                shared = cut(shared, plane)
                if not shared:
                    break
            if shared:
                here = _depth(shared, a, b)
                if here > TOUCH:
                    total += volume(shared)
                    depth = max(depth, here)
    return Overlap(a.part, b.part, total, depth) if depth > TOUCH else None


def _depth(faces: list[Polygon], a: Body, b: Body) -> float:
    points = [point for face in faces for point in face]
    least = float("inf")
    for plane in (*a.planes.values(), *b.planes.values()):
        reach = [dot(plane.normal, point) for point in points]
        least = min(least, max(reach) - min(reach))
    return least
