"""Distances that are told in another unit than the plan's, or read as if they were meant in another."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from planlint.language.expression_tree import Expression, Number, Operation
from planlint.language.syntax_tree import PlacingLine
from planlint.model.join_details import Placing
from planlint.model.plan import Part
from planlint.placement.joint_graph import JointGraph
from planlint.text.measures import INCH_PER_UNIT, in_inches

_FAR = 2
"""Times as long as either part a distance is that was rather told in millimetres, 25 to the inch, than told wrong (own
judgement)."""


class OtherUnit(NamedTuple):
    """A distance, the numbers that say how far, what it comes to as a bare one, the unit it is told in and the one to
    read it in; and whether it runs far past both parts as it is told."""

    placing: Placing
    numbers: tuple[Number, ...]
    bare: Fraction
    told: str
    instead: str
    past: bool
    read: Fraction
    """How far it is in that other unit, in inches."""


def other_units(graph: JointGraph, parts: Sequence[Part]) -> Iterator[OtherUnit]:
    """What of the distances that lay some parts may be meant in another unit."""
    unit, said = graph.plan.unit, graph.plan.provenance.joins
    for join in (each for part in parts for each in graph.joins_of(part)):
        lines = said[join.index].statement.details if 0 <= join.index < len(said) else ()
        for placing in join.placings:
            line = next((each.node for each in lines if each.span == placing.span), None)
            numbers = _lengths(line.distance) if isinstance(line, PlacingLine) else ()
            units = {number.unit or unit for number in numbers}
            if len(units) != 1:
                continue
            past = abs(placing.inset) > _FAR * max(part.size[placing.axis] for part in join.parts)
            (told,) = units
            bare = abs(Fraction(placing.inset)) / INCH_PER_UNIT[told]
            odd = INCH_PER_UNIT[told] != INCH_PER_UNIT[unit]
            instead = unit if odd else "mm"
            if odd or (past and in_inches(unit) and not any(map(_of_an_inch, numbers))):
                yield OtherUnit(placing, numbers, bare, told, instead, past, bare * INCH_PER_UNIT[instead])


def _of_an_inch(number: Number) -> bool:
    """Whether a number is a half, a quarter … of something: nobody counts millimetres so."""
    parts = number.value.denominator
    return parts > 1 and parts & (parts - 1) == 0


def _lengths(value: Expression | None) -> tuple[Number, ...]:
    """The numbers of a sum that are lengths: of a product its last; none where it counts on a name."""
    if isinstance(value, Number):
        return (value,)
    if not isinstance(value, Operation):
        return ()
    left, right = _lengths(value.left), _lengths(value.right)
    if not left or not right:
        return ()
    return left + right if value.operator in {"+", "-"} else left if value.operator == "/" else right
