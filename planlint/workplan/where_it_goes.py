"""Where the parts of a joint lie on one another, told when one of them comes: what the plan says of it there, and what
it says only of joints that are made later."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.model.directions import Axis, side_of
from planlint.model.plan import Join, Placing
from planlint.text.source import Span

NEAR = 1 / 128
"""Inches by which sides may miss each other and still be flush, or middles be centred. Basis: our own judgement."""


def placings(piece: Piece, joins: Sequence[Join]) -> dict[int, tuple[Placing, ...]]:
    """By joint of one step: its placings, and at the first of them also those along axes of which no joint of the step
    says anything."""
    said = {join.index: join.placings for join in joins}
    open_to = set(Axis) - {join.side_a.axis for join in joins}
    open_to -= {p.centred if p.side is None else p.side.axis for each in said.values() for p in each if p}
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
    if min(abs(low), abs(high)) >= NEAR and abs(low - high) < NEAR:
        return Placing(span, centred=axis)
    inset, sign = min((low, -1), (high, 1), key=lambda each: abs(each[0]))
    flush = abs(inset) < NEAR
    return Placing(
        span,
        side_of(axis, sign),
        Fraction() if flush else Fraction(inset).limit_denominator(10**6),
        flush=flush,
    )
