"""How round a length is by the marks of a rule: of two that differ a little the rounder was meant."""

from __future__ import annotations

from fractions import Fraction

from planlint.model.like_parts import akin
from planlint.model.plan import Part
from planlint.text.measures import INCH_PER_UNIT, in_inches

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
