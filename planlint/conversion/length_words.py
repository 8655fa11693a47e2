"""Lengths as a plan writes them, and sums of them that stay sums."""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from math import cos, radians, tan
from typing import NamedTuple

from planlint.language.expression_tree import Expression, Number, Operation
from planlint.language.reader import read
from planlint.language.syntax_tree import Let
from planlint.model.expressions import FINEST, names_in
from planlint.text.measures import INCH_PER_UNIT, in_inches
from planlint.text.source import PlanText

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


def bare_number(inches: Fraction, unit: str) -> str:
    """A length as a bare number in the plan's unit: ``15-1/2``, ``391.5``; negative numbers get a sign. In feet what is
    no half or quarter of one is told in inches: ``75-17/32"``."""
    value = inches / INCH_PER_UNIT[unit]
    if unit == "ft" and value.denominator not in {1, 2, 4}:
        return f'{bare_number(inches, "in")}"'
    sign = "-" if value < 0 else ""
    value = abs(value)
    if value.denominator == 1:
        return f"{sign}{value}"
    if not in_inches(unit) and (value * 10**_DECIMAL_PLACES).denominator == 1:
        return sign + f"{float(value):.{_DECIMAL_PLACES}f}".rstrip("0")
    whole, rest = divmod(value.numerator, value.denominator)
    return f"{sign}{f'{whole}-' if whole else ''}{rest}/{value.denominator}"


def bare_term(inches: Fraction, unit: str) -> Term:
    """A length that no name stands for."""
    return Term(inches, bare_number(inches, unit))


class _Addend(NamedTuple):
    """One of what is added up or taken away in a length: so many times some words."""

    sign: int
    times: int
    words: str
    number: Fraction | None = None
    """In inches, where it is a number, or so many times one."""
    alone: bool = True
    """Whether the number is no product, so that another may be counted into it."""
    named: bool = False

    @property
    def text(self) -> str:
        return self.words if self.times == 1 else f"{self.times} * {self.words}"


def less(whole: Term, taken: Iterable[Term], unit: str) -> Term:
    """What is left of a length. What is taken is struck out of a sum: ``inside + 2 * deep`` less twice ``deep`` is
    ``inside`` again, and less once ``deep`` is ``inside + deep``."""
    counted: dict[str, tuple[Term, int]] = {}
    for term in taken:
        known = counted.get(term.text)
        counted[term.text] = (term, known[1] + 1 if known else 1)
    value = whole.value - sum((term.value * count for term, count in counted.values()), Fraction(0))
    if not whole.named and not any(term.named for term, _ in counted.values()):
        return bare_term(value, unit)
    sum_ = _summed(whole.text, unit) if whole.named else []
    if not sum_ or not all(each.words for each in sum_):
        sum_ = [_Addend(1, 1, whole.text, named=whole.named)]
    numbers = Fraction(0)
    for term, count in counted.values():
        if term.named:
            sum_ = _struck_out(sum_, term, count)
        else:
            numbers += term.value * count
    sum_ = _less_number(sum_, numbers, unit)
    first = next((each for each in sum_ if each.sign > 0), None)
    if first is None:
        return bare_term(value, unit)
    sum_.remove(first)
    words = first.text + "".join(f" {'+' if each.sign > 0 else '-'} {each.text}" for each in sum_)
    named = any(each.named for each in (first, *sum_))
    return Term(value, words, named, sum=bool(sum_) or (whole.sum and first.words == whole.text))


def _summed(words: str, unit: str) -> list[_Addend]:
    """A sum by what is added up in it; nothing where it cannot be read."""
    line = f"let sum = {words}"
    read_, _ = read(PlanText("", line))
    nodes = [each.node for each in read_.statements]
    return list(_addends(nodes[0].value, line, unit)) if nodes and isinstance(nodes[0], Let) else []


def _addends(of: Expression, text: str, unit: str, sign: int = 1) -> Iterator[_Addend]:
    words = _cut(text, of)
    if isinstance(of, Operation) and of.operator in {"+", "-"} and not words.startswith("("):
        yield from _addends(of.left, text, unit, sign)
        yield from _addends(of.right, text, unit, sign if of.operator == "+" else -sign)
        return
    counted, named = _counted(of, unit), bool(names_in(of))
    if isinstance(of, Operation) and of.operator == "*" and counted is None:
        for times, other in ((of.left, of.right), (of.right, of.left)):
            if not isinstance(times, Number) or times.unit is not None:
                continue
            if times.value.denominator == 1 and times.value > 1:
                yield _Addend(sign, int(times.value), _cut(text, other), named=named)
                return
    yield _Addend(sign, 1, words, counted, isinstance(of, Number), named)


def _struck_out(sum_: Iterable[_Addend], term: Term, count: int) -> list[_Addend]:
    """A sum less so many times a term."""
    left = []
    for each in sum_:
        if count and _same(each.words, term.bracketed):
            times = each.times * each.sign - count
            count = -times if each.sign > 0 and times < 0 else 0
            if times and not count:
                left.append(each._replace(times=abs(times)))
        elif count == 1 and each.sign > 0 and _same(each.text, term.text):
            count = 0
        else:
            left.append(each)
    return [*left, _Addend(-1, count, term.bracketed, named=True)] if count else left


def _less_number(sum_: list[_Addend], number_: Fraction, unit: str) -> list[_Addend]:
    """A sum less a number: that is struck out of it, or counted into the last number that it has."""
    if not number_:
        return sum_
    at = next(
        (n for n, each in enumerate(sum_) if each.number is not None and each.sign * each.number == number_),
        None,
    )
    if at is not None:
        return sum_[:at] + sum_[at + 1 :]
    at = next((n for n in range(len(sum_) - 1, -1, -1) if sum_[n].number is not None and sum_[n].alone), None)
    sign = -1 if at is None else sum_[at].sign
    left = -number_ if at is None else sign * (sum_[at].number or 0) - number_
    new = _Addend(1 if left > 0 else -1, 1, bare_number(abs(left), unit), abs(left))
    return [*sum_, new] if at is None else [*sum_[:at], new, *sum_[at + 1 :]]


def _counted(expression: Expression, unit: str) -> Fraction | None:
    """A number as it is written, or so many times one, in inches."""
    if isinstance(expression, Number):
        return expression.inches(unit)
    if (
        isinstance(expression, Operation)
        and expression.operator == "*"
        and isinstance(expression.left, Number)
    ):
        times = _counted(expression.right, unit)
        return None if times is None or expression.left.unit is not None else expression.left.value * times
    return None


def sum_of(one: Term, other: Term, unit: str) -> Term:
    """The sum of two lengths, a negative one taken away."""
    value = one.value + other.value
    if not (one.named or other.named):
        return bare_term(value, unit)
    return Term(value, f"{one.text} + {other.text}", named=True, sum=True)


def slanted(deep: Term, angle: Fraction) -> tuple[Term, Term]:
    """What goes in so deep square to an end cut aslant: how far along the part that is, and how far across it. Worked
    out as the plan will work out the words."""
    across, along = (Fraction(round(turn(radians(angle)) * FINEST), FINEST) for turn in (tan, cos))
    words = bare_number(angle, "in")
    return (
        Term(deep.value / along, f"{deep.bracketed} / cos({words})", named=True),
        Term(deep.value * across, f"{deep.bracketed} * tan({words})", named=True),
    )


def is_sum(expression: Expression) -> bool:
    return isinstance(expression, Operation) and expression.operator in {"+", "-"}


def _cut(text: str, expression: Expression) -> str:
    return text[expression.start : expression.end]


def _same(one: str, other: str) -> bool:
    return "".join(one.split()) == "".join(other.split())
