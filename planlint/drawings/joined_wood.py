"""The wood of parts as they come from the bench: less what their traditional joints ask to be cut of them."""

from collections.abc import Iterable, Iterator

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Box, Cell
from planlint.geometry.shapes.carving import carved, cell_fitted
from planlint.geometry.shapes.cells import cell_less
from planlint.model.plan import Size
from planlint.sheet.joint_setouts import Shaped, shaped_parts


@of_piece
def bodies_as_cut(piece: Piece) -> tuple[Body, ...]:
    """All parts by their index: with shoulders round what goes into another part, and hollow where one comes in. Tails
    and fingers, of which the plan does not say how many there are, and what it does not settle stay whole."""
    shaped = shaped_parts(piece)
    return tuple(_cut(piece.body(part), shaped.get(part.index, ())) for part in piece.plan.parts)


def _cut(whole: Body, every: Iterable[Shaped]) -> Body:
    gone = [box for each in every for box in _gone(whole, each)]
    if not gone:
        return whole
    cells: Iterable[Cell] = whole.own_cells
    for box in gone:
        cells = [left for cell in cells for left in carved(cell, Cell(box))]
    body = Body(whole.part, whole.origin)
    body.own_cells = tuple(each for cell in cells if (each := cell_fitted(cell)) is not None)
    return body


def _gone(body: Body, shaped: Shaped) -> Iterator[Box]:
    if not shaped.boxed or shaped.low is None or shaped.high is None:
        return
    box = Box(floats(shaped.low), floats(shaped.high))
    if shaped.stays:
        axis = shaped.side.axis
        yield from cell_less(
            Box((0.0, 0.0, 0.0), body.size).between(axis, box.low[axis], box.high[axis]), box
        )
    else:
        yield box


def floats(at: Size) -> tuple[float, float, float]:
    """A place as geometry has it."""
    return float(at[0]), float(at[1]), float(at[2])
