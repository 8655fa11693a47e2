"""Convex cells less a convex solid: what is left, in convex cells that do not overlap."""

from collections.abc import Iterable
from functools import lru_cache

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.cells import Box, Cell, Plane, boxes_round, cell_less
from planlint.geometry.shapes.polygons import Polygon, cell_faces, cut
from planlint.geometry.shapes.vectors import scaled
from planlint.text.rounding import ON, ROUNDING, TOUCH

MOST_KEPT = 512
"""Shapes of wood that are kept for parts made alike, in this piece or in the same with a line changed. Basis: own
judgement; more parts with cuts than most pieces have."""

Shape = tuple[Polygon, ...]
"""The faces of a convex cell; none where nothing is left of it."""


@lru_cache(MOST_KEPT)
def cells_left(
    size: Vector, cuts: tuple[Plane, ...], removals: tuple[Cell, ...], *, trimmed: bool
) -> tuple[Cell, ...]:
    """A board of a size less what is cut off by planes and taken out, its cells fitted where it is trimmed."""
    cells = [Cell(Box((0.0, 0.0, 0.0), size), cuts)]
    for removal in removals:
        cells = [piece for cell in cells for piece in carved(cell, removal)]
    if trimmed and len(cells) > 1:
        cells = [each for cell in cells if (each := cell_fitted(cell)) is not None]
    return tuple(cells)


@lru_cache(MOST_KEPT)
def shapes_of(cells: tuple[Cell, ...]) -> tuple[Shape, ...]:
    """The faces of each of some cells."""
    return tuple(tuple(cell_faces(cell)) for cell in cells)


def carved(cell: Cell, gone: Cell) -> list[Cell]:
    """``cell`` less ``gone``: what lies beside its box, then what lies beyond each of its planes in turn."""
    around = [Cell(box, cell.cuts) for box in cell_less(cell.box, gone.box)]
    if not gone.cuts or around == [cell]:
        return around
    (a, b, c), (d, e, f) = gone.box
    (p, q, r), (u, v, w) = cell.box
    inner = Box((max(a, p), max(b, q), max(c, r)), (min(d, u), min(e, v), min(f, w)))
    inside, rest = cell.cuts, cell_faces(Cell(inner, cell.cuts))
    for plane in gone.cuts:
        back = Plane(scaled(plane.normal, -1.0), -plane.offset)
        beyond = _cell_of(cut(rest, back), inner, (*inside, back))
        if beyond is not None:
            around.append(beyond)
        rest = cut(rest, plane)
        inside = (*inside, plane)
    return around


def _trimmed(cell: Cell) -> Cell:
    """The same solid without the planes that take nothing off its box."""
    corners = cell.box.corners
    return cell._replace(
        cuts=tuple(plane for plane in cell.cuts if any(plane.depth(corner) < -TOUCH for corner in corners))
    )


def cell_fitted(cell: Cell) -> Cell | None:
    """The same solid with the smallest box, and only those planes that bound it; ``None`` where it is nothing."""
    cell = _trimmed(cell)
    if not cell.cuts:
        return cell if min(high - low for low, high in zip(*cell.box, strict=True)) >= ROUNDING else None
    return _cell_of(cell_faces(cell), cell.box, cell.cuts)


def _cell_of(faces: list[Polygon], box: Box, cuts: tuple[Plane, ...]) -> Cell | None:
    corners = {corner for face in faces for corner in face}
    if len(corners) < 4:
        return None
    low, high = [], []
    for axis in range(3):
        reach = [corner[axis] for corner in corners]
        near, far = min(reach), max(reach)
        if far - near < ROUNDING:
            return None
        low.append(_snapped(near, box, axis))
        high.append(_snapped(far, box, axis))
    kept = tuple(
        plane
        for plane in dict.fromkeys(cuts)
        if any(all(abs(plane.depth(corner)) < ON for corner in face) for face in faces)
    )
    return Cell(Box((low[0], low[1], low[2]), (high[0], high[1], high[2])), kept)


SLABS = 16
"""Slices in which a tapered or curved solid is told by boxes. Basis: our own judgement."""


def boxed(cell: Cell) -> list[Box]:
    """Boxes that hold a convex cell: of one that planes trim, slices along the longest way that these lean."""
    cell = _trimmed(cell)
    if not cell.cuts:
        return [cell.box]
    leans = [axis for axis in range(3) if any(abs(plane.normal[axis]) > ON for plane in cell.cuts)]
    axis = max(leans or range(3), key=lambda each: cell.box.high[each] - cell.box.low[each])
    low, step = cell.box.low[axis], (cell.box.high[axis] - cell.box.low[axis]) / SLABS
    found = []
    for number in range(SLABS):
        slice_ = cell.box.between(axis, low + number * step, low + (number + 1) * step)
        slab = cell_fitted(Cell(slice_, cell.cuts))
        if slab is not None:
            found.append(slab.box)
    return found


def cut_off(box: Box, planes: Iterable[Plane]) -> Box | None:
    """The smallest box round all that some planes cut off a box; ``None`` where they leave it whole."""
    pieces = [
        piece.box
        for plane in planes
        if (piece := cell_fitted(Cell(box, (Plane(scaled(plane.normal, -1.0), -plane.offset),)))) is not None
    ]
    return boxes_round(pieces) if pieces else None


def _snapped(at: float, box: Box, axis: int) -> float:
    """A place, or the side of a box that it is as good as on."""
    return next((side[axis] for side in box if abs(side[axis] - at) < TOUCH), at)
