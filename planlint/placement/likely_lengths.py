"""Which of two lengths of a part was rather meant: by how many parts like it measure so, by what it ends against,
by how round it is on a rule."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction

from planlint.model.directions import Axis, Side
from planlint.model.like_parts import akin, are_twins
from planlint.model.plan import Part
from planlint.model.wood_cuts import Triple
from planlint.placement.joint_graph import JointGraph
from planlint.placement.placement_results import Closing
from planlint.text.measures import INCH_PER_UNIT, in_inches
from planlint.text.rounding import ROUNDING


def fellows(parts: Sequence[Part], closing: Closing) -> tuple[int, int]:
    """How many more parts would be as long (or as wide) as a part made longer than are as it is now: of those of its
    stock that lie the same way, and of all that do. All that its own line makes so counts once: one slip does."""
    mine, now, then = closing.part, closing.now, closing.now + closing.by
    others = [
        closing._replace(part=other)
        for other in parts
        if other.name != mine.name
        and (other.across is mine.across if closing.wide else other.grain is mine.grain)
    ]

    def more(among: Sequence[Closing]) -> int:
        as_now = {mine.span.also_tells(each.part.span) or each.part.name for each in among if each.now == now}
        return sum(each.now == then for each in among) - len(as_now)

    return more([other for other in others if akin(mine, other.part)]), more(others)


def between(graph: JointGraph, closing: Closing) -> set[tuple[Side, str]]:
    """What a part is joined to by its ends, along what is to change: those ends, and the names of what they meet."""
    part = closing.part
    axis = part.across if closing.wide else part.grain
    ends = ((join.side_of(part), join.other(part).name) for join in graph.joins_of(part))
    return {(side, name) for side, name in ends if side.axis is axis}


def ends_forgotten(graph: JointGraph, closing: Closing) -> int:
    """2 for a part that is too long by what it ends against at both ends, or too short by what it lets in there, at
    one or both: measured over all, or between the shoulders; 1 for one that lacks both ends, which happens less."""
    part = closing.part
    axis = part.across if closing.wide else part.grain
    ends: list[tuple[Fraction, Fraction]] = [(Fraction(0), Fraction(0))] * 2
    for join in graph.joins_of(part):
        side, other = join.side_of(part), join.other(part)
        if side.axis is axis and join.part_a is part:
            inset = max(Fraction(0), join.inset)
            ends[side.sign > 0] = (other.size[axis] if not inset else Fraction(0), inset)
    against, let = ([end[number] for end in ends] for number in (0, 1))
    both = sum(against) if all(against) else Fraction(0)
    bys = ((-both, 2), *((by, 2) for by in (*let, sum(let))), (both, 1))
    return next((how for by, how in bys if by and abs(float(closing.by - by)) < ROUNDING), 0)


def level_twins(
    graph: JointGraph, place: Callable[[int], Triple], part: Part, axes: Iterable[Axis] = tuple(Axis)
) -> int:
    """How many twins of a part lie where it does along some axes; ``place`` tells where each lies, by its number."""
    here = place(graph.number[part.name])
    places = (place(graph.number[each.name]) for each in graph.parts if are_twins(part, each))
    return sum(all(there[axis] == here[axis] for axis in axes) for there in places)


SLIP = Fraction(3, 16)
"""Inches by which two lengths differ that were hardly meant to: of twins the rounder is right (own judgement)."""
_SIXTEENTHS = [Fraction(1, 2**power) for power in range(5)]


def roundness(unit: str, length: Fraction) -> Fraction:
    """The coarsest step of a rule on which a length lies: inches."""
    steps = _SIXTEENTHS if in_inches(unit) else [INCH_PER_UNIT["mm"] * step for step in (5, 1)]
    return max((step for step in steps if length % step == 0), default=Fraction(0))


def slip(unit: str, part: Part, other: Part, by: Fraction | float) -> bool:
    """Whether the length of a part is rather a slip than that of its twin: nearly the same, and less round."""
    rounder = roundness(unit, part.length) < roundness(unit, other.length)
    return akin(part, other) and abs(float(by)) < SLIP and rounder
