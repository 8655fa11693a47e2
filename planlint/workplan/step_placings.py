"""Where the parts of a joint lie on one another, told when one of them comes: what the plan says of it there, and what
it says only of joints that are made later."""

from collections.abc import Collection, Sequence
from fractions import Fraction

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.model.directions import Axis, Side, side_of
from planlint.model.join_details import Placing
from planlint.model.plan import Join
from planlint.text.grouping import grouped
from planlint.text.source import Span

_NEAR = 1 / 128
"""Inches by which sides may miss each other and still be flush, or middles be centred. Basis: our own judgement."""


def placings(
    piece: Piece, joins: Sequence[Join], spacings: Sequence[Join] = ()
) -> dict[int, tuple[Placing, ...]]:
    """By joint of one step: its placings, and at the first of them also those along axes of which no joint of the step
    says anything, and none of its ``spacings``."""
    said = {join.index: join.placings for join in joins}
    open_to = set(Axis) - {join.side_a.axis for join in (*joins, *spacings) if join.touches or join.gap}
    open_to -= {p.axis for each in (*joins, *spacings) for p in each.placings}
    first = next((join for join in joins if piece.trusted(join)), None)
    if first is None or not open_to:
        return said
    a, b = piece.body(first.part_a), piece.body(first.part_b)
    if a.rotation is None and b.rotation is None:
        more = (_measured(a.bounds, b.bounds, axis, first.span) for axis in sorted(open_to))
        said[first.index] = (*first.placings, *more)
    return said


def _measured(a: Box, b: Box, axis: Axis, span: Span) -> Placing:
    low, high = a.low[axis] - b.low[axis], b.high[axis] - a.high[axis]
    if min(abs(low), abs(high)) >= _NEAR and abs(low - high) < _NEAR:
        return Placing(span, centred=axis)
    inset, sign = min((low, -1), (high, 1), key=lambda each: abs(each[0]))
    flush = abs(inset) < _NEAR
    return Placing(
        span,
        side_of(axis, sign),
        Fraction() if flush else Fraction(inset).limit_denominator(10**6),
        flush=flush,
    )


@of_piece
def _spacings_of(piece: Piece) -> dict[int, list[Join]]:
    return grouped((part.index, each) for each in piece.plan.spacings for part in each.parts)


def spacings_to(piece: Piece, added: Collection[int], made: Collection[int]) -> tuple[Join, ...]:
    """How far what is added lies, as the plan has it, from parts that are there and that it does not touch, or in line
    with them; that all stand on the floor is no matter here."""
    floor = piece.bounds.low[Axis.Z] + _NEAR
    found = {each.index: each for i in sorted(added) for each in _spacings_of(piece).get(i, ())}
    return tuple(
        each
        for each in found.values()
        if {part.index in added for part in each.parts} == {True, False}
        and all(part.index in made for part in each.parts)
        and not (
            each.side_a is Side.BOTTOM
            and not each.gap
            and all(piece.body(part).bounds.low[Axis.Z] < floor for part in each.parts)
        )
    )
