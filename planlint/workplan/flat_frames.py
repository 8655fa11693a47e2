"""Flat frames: boards laid across battens or posts, as the ends of crates; and rings that lie in among other
parts, as the web frames of a chest."""

from collections.abc import Collection, Iterable, Sequence

from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from planlint.model.plan import Join
from planlint.text.grouping import grouped
from planlint.workplan.way_in import held_together

_NARROW = 3
"""What boards are laid across is no wider than so many of its thicknesses. Basis: our own judgement."""

TWICE_TWO = 4
"""Joints of two boards across two battens."""


def across_battens(joins: Sequence[Join], axis: Axis) -> list[Join]:
    """The joints, square to an axis, between boards that lie with a face across two battens or posts, or more, and
    these."""
    laid = grouped(
        ((board.index, side), join)
        for join in joins
        for board, side, batten, theirs in join.both_ways
        if side.axis is axis
        and board.is_face(side)
        and not batten.is_end(theirs)
        and board.grain is not batten.grain
        and batten.width <= _NARROW * batten.thickness
        and batten.width < board.length
    )
    return [join for met in laid.values() if len(met) > 1 for join in met]


def clad(laid: Iterable[Join], members: Collection[int]) -> bool:
    """Whether two boards or more lie across battens in a set."""
    return sum(all(part.index in members for part in join.parts) for join in laid) >= TWICE_TWO


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
