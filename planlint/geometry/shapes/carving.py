"""Convex cells less a convex solid: what is left, in convex cells that do not overlap."""

from __future__ import annotations

from planlint.geometry.shapes.cells import Box, Cell, Plane, without
from planlint.geometry.shapes.polygons import cell_faces
from planlint.geometry.shapes.vectors import scaled

_ON = 1e-7
"""Inches within which a corner lies in a plane."""
_SAME = 1e-9
_NO_SIZE = 1e-6
"""Inches: a scrap that is thinner is rounding, no wood."""


def carved(cell: Cell, gone: Cell) -> list[Cell]:
    """``cell`` less ``gone``: what lies beside its box, then what lies beyond each of its planes in turn."""
    around = [Cell(box, cell.cuts) for box in without(cell.box, gone.box)]
    if not gone.cuts or around == [cell]:
        return around
    (a, b, c), (d, e, f) = gone.box
    (p, q, r), (u, v, w) = cell.box
    inner = Box((max(a, p), max(b, q), max(c, r)), (min(d, u), min(e, v), min(f, w)))
    inside = cell.cuts
    for plane in gone.cuts:
        beyond = fitted(Cell(inner, (*inside, Plane(scaled(plane.normal, -1.0), -plane.offset))))
        if beyond is not None:
            around.append(beyond)
        inside = (*inside, plane)
    return around


def fitted(cell: Cell) -> Cell | None:
    """The same solid with the smallest box, and only those planes that bound it; ``None`` where it is nothing."""
    faces = cell_faces(cell)
    corners = [corner for face in faces for corner in face]
    if len(corners) < 4:
        return None
    low, high = [], []
    for axis in range(3):
        reach = [corner[axis] for corner in corners]
        near, far = min(reach), max(reach)
        if far - near < _NO_SIZE:
            return None
        low.append(_snapped(near, cell.box, axis))
        high.append(_snapped(far, cell.box, axis))
    cuts = tuple(
        plane
        for plane in dict.fromkeys(cell.cuts)
        if any(all(abs(plane.depth(corner)) < _ON for corner in face) for face in faces)
    )
    return Cell(Box((low[0], low[1], low[2]), (high[0], high[1], high[2])), cuts)


SLABS = 16
"""Slices in which a tapered or curved solid is told by boxes. Basis: our own judgement."""


def boxed(cell: Cell, count: int = SLABS) -> list[Box]:
    """Boxes that hold a convex cell: of one that planes trim, slices along the longest way that these lean."""
    if not cell.cuts:
        return [cell.box]
    leans = [axis for axis in range(3) if any(abs(plane.normal[axis]) > _ON for plane in cell.cuts)]
    axis = max(leans or range(3), key=lambda each: cell.box.high[each] - cell.box.low[each])
    low, step = cell.box.low[axis], (cell.box.high[axis] - cell.box.low[axis]) / count
    found = []
    for number in range(count):
        near, far = list(cell.box.low), list(cell.box.high)
        near[axis], far[axis] = low + number * step, low + (number + 1) * step
        slab = fitted(Cell(Box((near[0], near[1], near[2]), (far[0], far[1], far[2])), cell.cuts))
        if slab is not None:
            found.append(slab.box)
    return found


def _snapped(at: float, box: Box, axis: int) -> float:
    """A place, or the side of a box that it is as good as on."""
    return next((side[axis] for side in box if abs(side[axis] - at) < _SAME), at)
