"""Flat frames of boards that lie with their faces across battens or posts: the ends of crates and planters, slatted
shelves."""

from collections.abc import Collection, Iterable, Sequence

from planlint.model.directions import Axis
from planlint.model.plan import Join
from planlint.text.grouping import grouped

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
