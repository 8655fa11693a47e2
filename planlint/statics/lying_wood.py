"""Wood that lies on wood without a word about it in the plan: it presses there all the same."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.polygons import Polygon
from planlint.model.directions import Side
from planlint.model.plan import Join, Part

FLUSH = 0.005
"""Inches within which one part's bottom lies at the height of another's top. Basis: our own judgement; paper."""


class Lying(NamedTuple):
    """One part on another that no join ties it to, and where they touch."""

    part: Part
    on: Part
    patches: tuple[Polygon, ...]


@of_piece
def lying(piece: Piece) -> tuple[Lying, ...]:
    """All of the piece, of parts that stand square and certain."""
    return tuple(_lying(piece))


def _lying(piece: Piece) -> Iterator[Lying]:
    square = [body for body in piece.bodies if body.part.turn is None]
    for upper in square:
        low = upper.bounds.low[2]
        near = [body for body in square if abs(body.bounds.high[2] - low) <= FLUSH and body is not upper]
        for lower in near:
            one, other = upper.part, lower.part
            if other in piece.graph.neighbours(one) or not piece.placement.fixed_together(one, other):
                continue
            asked = Join("", -1, one, Side.BOTTOM, other, Side.TOP, one.span)
            patches = contact(asked, upper, lower).patches
            if patches:
                yield Lying(one, other, patches)
