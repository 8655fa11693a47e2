"""Names, numbers and sums as they are written: the nodes of which those of a line are made.

Offsets count from the line's first character that is not white space.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from planlint.text.measures import INCH_PER_UNIT


class Number(NamedTuple):
    """``3-1/2``, ``19 mm``, ``2' 6"``: with a unit, ``value`` is in inches; without, ``unit`` is ``None``."""

    value: Fraction
    unit: str | None
    start: int
    end: int

    def inches(self, unit: str) -> Fraction:
        """As a length, in a plan that counts in ``unit``."""
        return self.value if self.unit else self.value * INCH_PER_UNIT[unit]


class Name(NamedTuple):
    """A name; ``pieces`` alternate text and expressions where it is a template such as ``slat_{n + 1}``."""

    text: str
    pieces: tuple[str | Expression, ...]
    start: int
    end: int


class Operation(NamedTuple):
    """``left operator right``, operator one of ``+ - * /``; a sign before a term is ``0 - term``."""

    operator: str
    left: Expression
    right: Expression
    start: int
    end: int


class Call(NamedTuple):
    """``min(…)``, ``max(…)`` or another function."""

    function: str
    arguments: tuple[Expression, ...]
    start: int
    end: int


Expression = Number | Name | Operation | Call
