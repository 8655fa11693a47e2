"""Flat frames that lie in among other parts: web frames between the sides of a chest, frames of shelves."""

from collections.abc import Sequence

from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from planlint.model.plan import Join
from planlint.workplan.way_in import held_together

LEVEL_WITH = 1 / 16
"""Inches by which the faces of a frame's parts may miss one another. Basis: our own judgement."""


def level_rings(piece: Piece, joins: Sequence[Join]) -> list[tuple[Axis, frozenset[int]]]:
    """Sets of parts that lie in one plane and close a ring there, each with the axis that it is thin along."""
    found: list[tuple[Axis, frozenset[int]]] = []
    for axis in Axis:
        lying = {p.index for p in piece.plan.parts if p.facing.axis is axis and p.turn is None}
        ties = [join for join in joins if not join.rests and _in_plane(piece, join, axis, lying)]
        for ring in held_together(lying, ties) if len(ties) > 3 else ():
            pairs = {frozenset(part.index for part in join.parts) for join in ties}
            if len(ring) > 3 and sum(pair <= ring for pair in pairs) >= len(ring):
                found.append((axis, ring))
    return found


def _in_plane(piece: Piece, join: Join, axis: Axis, lying: set[int]) -> bool:
    """Whether two parts that face along an axis meet beside one another, the thinner within the thicker."""
    if not lying.issuperset(part.index for part in join.parts) or join.side_a.axis is axis:
        return False
    a, b = (piece.bodies[part.index].bounds for part in join.parts)
    low, high = a.low[axis] - b.low[axis], b.high[axis] - a.high[axis]
    return min(low, high) > -LEVEL_WITH or max(low, high) < LEVEL_WITH
