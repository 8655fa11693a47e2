"""Lengths as a plan writes them, and sums of them that stay sums."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from planlint.language.expression_tree import Expression, Number, Operation
from planlint.text.measures import INCH_PER_UNIT

_DECIMAL_PLACES = 6
"""A metric length that ends within so many decimals is written with a point. Basis: own judgement."""


class Term(NamedTuple):
    """A length in inches with its words; ``named`` where the words hold a name, so that they follow it."""

    value: Fraction
    text: str
    named: bool = False
    sum: bool = False
    """Whether the words are a sum, which needs brackets behind a minus."""

    @property
    def bracketed(self) -> str:
        return f"({self.text})" if self.sum else self.text


def number(inches: Fraction, unit: str) -> str:
    """A length as a bare number in the plan's unit: ``15-1/2``, ``391.5``; negative numbers get a sign."""
    value = inches / INCH_PER_UNIT[unit]
    sign = "-" if value < 0 else ""
    value = abs(value)
    if value.denominator == 1:
        return f"{sign}{value}"
    if unit in {"mm", "cm", "m"} and (value * 10**_DECIMAL_PLACES).denominator == 1:
        return sign + f"{float(value):.{_DECIMAL_PLACES}f}".rstrip("0")
    whole, rest = divmod(value.numerator, value.denominator)
    return f"{sign}{f'{whole}-' if whole else ''}{rest}/{value.denominator}"


def plain(inches: Fraction, unit: str) -> Term:
    """A length that no name stands for."""
    return Term(inches, number(inches, unit))


def less(whole: Term, taken: Iterable[Term], unit: str, of: Expression | None = None, text: str = "") -> Term:
    """What is left of a length; ``of`` is its expression in ``text``, so that a sum taken back is struck out."""
    counted: dict[str, tuple[Term, int]] = {}
    for term in taken:
        known = counted.get(term.text)
        counted[term.text] = (term, known[1] + 1 if known else 1)
    value = whole.value - sum((term.value * count for term, count in counted.values()), Fraction(0))
    if not whole.named and not any(term.named for term, _ in counted.values()):
        return plain(value, unit)
    words, kept = whole.text, of
    numbers = Fraction(0)
    for term, count in counted.values():
        if not term.named:
            numbers += term.value * count
            continue
        said = term.bracketed if count == 1 else f"{count} * {term.bracketed}"
        if isinstance(kept, Operation) and kept.operator == "+" and _same(_cut(text, kept.right), said):
            # `inside + 2 * deep` less `2 * deep` is `inside` again.
            kept = kept.left
            words = _cut(text, kept)
        else:
            words, kept = f"{words} - {said}", None
    if numbers and isinstance(kept, Operation) and kept.operator in {"+", "-"}:
        last = _counted(kept.right, unit)
        if last is not None:
            # `span + 2` less 2 is `span`.
            numbers -= last if kept.operator == "+" else -last
            kept = kept.left
            words = _cut(text, kept)
    if numbers:
        words, kept = f"{words} {'-' if numbers > 0 else '+'} {number(abs(numbers), unit)}", None
    single = isinstance(kept, Operation) and kept.operator in {"+", "-"}
    return Term(value, words, named=True, sum=kept is None or single)


def _counted(expression: Expression, unit: str) -> Fraction | None:
    """A number as it is written, or so many times one, in inches."""
    if isinstance(expression, Number):
        return expression.value * (INCH_PER_UNIT[unit] if expression.unit is None else 1)
    if (
        isinstance(expression, Operation)
        and expression.operator == "*"
        and isinstance(expression.left, Number)
    ):
        times = _counted(expression.right, unit)
        return None if times is None or expression.left.unit is not None else expression.left.value * times
    return None


def plus(one: Term, other: Term, unit: str) -> Term:
    """The sum of two lengths, a negative one taken away."""
    value = one.value + other.value
    if not (one.named or other.named):
        return plain(value, unit)
    return Term(value, f"{one.text} + {other.text}", named=True, sum=True)


def minus(one: Term, other: Term, unit: str) -> Term:
    """The difference of two lengths."""
    value = one.value - other.value
    if not (one.named or other.named):
        return plain(value, unit)
    return Term(value, f"{one.text} - {other.bracketed}", named=True, sum=True)


def is_sum(expression: Expression) -> bool:
    return isinstance(expression, Operation) and expression.operator in {"+", "-"}


def bare(expression: Expression) -> bool:
    """A number that carries no unit: it may change its meaning nowhere in the plan."""
    return isinstance(expression, Number)


def _cut(text: str, expression: Expression) -> str:
    return text[expression.start : expression.end]


def _same(one: str, other: str) -> bool:
    return "".join(one.split()) == "".join(other.split())
