"""Trade sizes of timber: what a nominal size measures once it is dressed.

Softwood: ``rules/figures/trade_sizes.toml``. Hardwood: thickness by quarters of an inch, trade table of rough and
surfaced boards. Inches, exact. A board in the hand is measured before joinery is cut.
"""

from fractions import Fraction
from functools import cache
from itertools import product

from planlint.rulebook.figure_tables import figures

_Q = Fraction


@cache
def _of(size: str) -> dict[Fraction, Fraction]:
    """What each nominal number measures, dressed: a table of ``rules/figures/trade_sizes.toml``."""
    return {_Q(number): _Q(measures) for number, measures in figures("trade_sizes")[size].items()}


def _timber(nominal: Fraction) -> Fraction | None:
    """Timbers, 5 in nominal and up: 1/2 less, from 7 in 3/4 less, from 16 in 1 less."""
    if nominal.denominator != 1 or not 5 <= nominal <= 24:
        return None
    return nominal - (_Q(1, 2) if nominal < 7 else _Q(3, 4) if nominal < 16 else _Q(1))


def _measure(word: str) -> Fraction | None:
    """``4``, ``5/4`` or ``1-1/2`` as it stands in a nominal size."""
    whole, dash, part = word.partition("-")
    try:
        return Fraction(int(whole)) + Fraction(part) if dash else Fraction(word)
    except (ValueError, ZeroDivisionError):
        return None


def nominal_parts(nominal: str) -> tuple[Fraction, Fraction] | None:
    """``5/4x6`` as the two numbers it names, in inches; ``None`` if it does not read so."""
    first, cross, second = nominal.lower().replace("×", "x").partition("x")
    one, other = (_measure(first), _measure(second)) if cross and len(nominal) <= 16 else (None, None)
    return (one, other) if one is not None and other is not None else None


QUARTERS = (4, 5, 6, 8, 10, 12, 16)
"""Quarters of an inch in which boards are sold by their thickness before planing: the trade table named above."""


def before_planing(thickness: Fraction) -> Fraction | None:
    """The thickness by which a board is sold that is planed to one: with the least that planing takes, 1/8 in, up to
    the next of ``QUARTERS``; ``None`` where it is thicker. What is thinner than an inch counts as one: the grading
    rules of hardwood, from memory."""
    return next((_Q(n, 4) for n in QUARTERS if _Q(n, 4) >= thickness + _Q(1, 8)), None)


def _dressed(thickness: Fraction, width: Fraction) -> tuple[Fraction, Fraction] | None:
    if thickness < 2:
        thick, wide = _of("board_thickness").get(thickness), _of("board_width").get(width)
    elif thickness < 5:
        thick, wide = _of("dimension_thickness").get(thickness), _of("dimension_width").get(width)
    else:
        thick, wide = _timber(thickness), _timber(width)
    return (thick, wide) if thick is not None and wide is not None and thick <= wide else None


def dressed(nominal: str) -> tuple[Fraction, Fraction] | None:
    """Dressed thickness and width of a softwood size such as ``2x4`` or ``5/4x6``; ``None`` if it is not made."""
    parts = nominal_parts(nominal)
    return _dressed(*parts) if parts is not None else None


def name_of_dressed(thickness: Fraction, width: Fraction | None) -> str | None:
    """The nominal size that softwood of these measures is sold under: ``1x4`` for 3/4 by 3-1/2."""
    every = product(
        (*_of("board_thickness"), *_of("dimension_thickness")), (*_of("board_width"), *_of("dimension_width"))
    )
    found = (each for each in every if each[0] >= 1 and _dressed(*each) == (thickness, width))
    return next(("x".join(map(_nominal_word, each)) for each in found), None)


def nominal_of(thickness: Fraction, width: Fraction) -> str | None:
    """The nominal size that has just these numbers: ``1x4`` for 1 by 4, which dressed is 3/4 by 3-1/2.

    Answers whether a size written as actual is more likely a nominal one, for softwood from 1 in up.
    """
    if thickness < 1 or _dressed(thickness, width) is None:
        return None
    return f"{_nominal_word(thickness)}x{_nominal_word(width)}"


def _nominal_word(size: Fraction) -> str:
    """A nominal number as the trade says it: 1-1/4 is ``5/4``."""
    return str(size) if size.denominator != 2 or size < 2 else f"{size.numerator // 2}-1/2"
