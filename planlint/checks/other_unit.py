"""Distances that are told in another unit than the plan's, or read as if they were meant in another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from planlint.geometry.piece import Piece
from planlint.language.expression_tree import Number
from planlint.language.syntax_tree import PlacingLine
from planlint.model.join_details import Placing
from planlint.model.plan import Part
from planlint.text.measures import INCH_PER_UNIT, in_inches


class OtherUnit(NamedTuple):
    """A distance, its number as a bare one, the unit it is told in and the one to read it in; and whether it runs past
    both parts as it is told."""

    placing: Placing
    number: Number
    bare: Fraction
    told: str
    instead: str
    past: bool


def other_units(piece: Piece, parts: Sequence[Part]) -> Iterator[OtherUnit]:
    """What of the distances that lay some parts may be meant in another unit."""
    unit, said = piece.plan.unit, piece.plan.provenance.joins
    for join in (each for part in parts for each in piece.graph.joins_of(part)):
        lines = said[join.index].statement.details if 0 <= join.index < len(said) else ()
        for placing in join.placings:
            line = next((each.node for each in lines if each.span == placing.span), None)
            number = line.distance if isinstance(line, PlacingLine) else None
            if not isinstance(number, Number):
                continue
            past = abs(placing.inset) > max(part.size[placing.axis] for part in join.parts)
            told = number.unit or unit
            bare = number.inches(unit) / INCH_PER_UNIT[told]
            if INCH_PER_UNIT[told] != INCH_PER_UNIT[unit]:
                yield OtherUnit(placing, number, bare, told, unit, past)
            elif past and in_inches(unit):
                yield OtherUnit(placing, number, bare, told, "mm", past)
