"""Lengths written into a plan the way its builder writes them."""

from collections.abc import Callable
from fractions import Fraction
from operator import itemgetter

from planlint.language.expression_tree import Expression, Name, Number, Operation
from planlint.model.scope import Scope
from planlint.model.written_sums import last_term
from planlint.text.measures import INCH_PER_UNIT, in_inches, read_as
from planlint.text.rounding import ROUNDING, whole_down, whole_up

INCH_MARKS = (Fraction(1, 4), Fraction(1, 8), Fraction(1, 16))
MILLIMETRE_MARKS = (Fraction(50, 254), Fraction(20, 254), Fraction(10, 254))
"""What lengths are drawn to, coarse to fine, in inches: quarters down to sixteenths, or 5, 2 and 1 mm.

Basis: common practice, what a rule is marked with."""


def marks(unit: str) -> tuple[Fraction, ...]:
    """The marks of a rule in the plan's unit, coarse to fine."""
    return INCH_MARKS if unit in {"in", "ft"} else MILLIMETRE_MARKS


def down(value: float, mark: Fraction) -> Fraction:
    """The mark at or below a length in inches."""
    return whole_down(value / float(mark), ROUNDING) * mark


def up(value: float, mark: Fraction) -> Fraction:
    """The mark at or above a length in inches."""
    return whole_up(value / float(mark), ROUNDING) * mark


def spelt(inches: Fraction, unit: str, like: str = "") -> str:
    """A length as a plan in ``unit`` writes it; ``like`` is a number that it takes the place of, whose unit,
    decimals and way of writing a mixed number it keeps.

    Bare numbers of plans in feet or metres are whole feet or metres: there the length gets its unit.
    """
    written = _unit_of(like)
    behind = ""
    if not written and (bare := like.strip()).isdigit():
        other = read_as(int(bare) * INCH_PER_UNIT[unit], inches, unit)
        if other and abs(int(bare) * INCH_PER_UNIT[other] - inches) < INCH_MARKS[-1] / 4:
            return f"{bare} {other}"
    if written in {"in", "mm"} and not neat(inches, written) and neat(inches, unit):
        written = like = ""
    if written:
        behind = like.rstrip()[len(like.rstrip()) - len(written) :]
        gap = like.rstrip()[: -len(written)]
        behind = gap[len(gap.rstrip()) :] + behind
        unit = {'"': "in", "inch": "in", "inches": "in"}.get(written, written)
    elif unit in {"ft", "m"}:
        behind, unit = (" in", "in") if unit == "ft" else (" mm", "mm")
    if written in {"'", "ft", "foot", "feet", "m"}:
        behind, unit = (" mm", "mm") if written == "m" else (" in", "in")
    value = inches / INCH_PER_UNIT[unit]
    sign = "-" if value < 0 else ""
    return f"{sign}{_digits(abs(value), unit, like)}{behind}"


def neat(inches: Fraction, unit: str) -> bool:
    """Whether a rule of the unit has a mark for a length: to 1/64 in, or a tenth of a millimetre."""
    return (inches / INCH_PER_UNIT[unit] * (64 if in_inches(unit) else 10)).denominator == 1


def _unit_of(like: str) -> str:
    like = like.rstrip()
    for word in ("inches", "inch", "in", "mm", "cm", '"', "feet", "foot", "ft", "'", "m"):
        if like.endswith(word):
            return word
    return ""


def _digits(value: Fraction, unit: str, like: str) -> str:
    if value.denominator == 1:
        return str(value.numerator)
    if unit == "in" and "." not in like and 64 % value.denominator == 0:
        whole, rest = divmod(value, 1)
        between = " " if "/" in like and " " in like.strip().split("/")[0] else "-"
        return f"{whole}{between}{rest}" if whole else str(rest)
    decimals = f"{float(value):.4f}" if unit == "in" else f"{float(value):.2f}"
    return decimals.rstrip("0").rstrip(".")


def changed_sum(
    expression: Expression, words: str, by: Fraction, unit: str, scope: Scope | None = None
) -> str | None:
    """The words of a sum that comes to ``by`` inches more; ``None`` where it has no length to change.

    ``words`` are the line that it stands in. A number is written anew, a number added
    or taken away at the end of a sum is changed (or dropped where nothing is left of it), a name that is added or
    taken away once too often or too seldom is so by as much (``scope`` tells what it stands for), and anything else
    gets the difference added.
    """

    def said(node: Expression) -> str:
        return words[node.start : node.end]

    if isinstance(expression, Number):
        total = expression.inches(unit) + by
        return spelt(total, unit, said(expression)) if total > 0 else None
    if (
        isinstance(expression, Operation)
        and expression.operator in {"+", "-"}
        and isinstance(expression.right, Number)
    ):
        left, right = expression.left, expression.right
        # Brackets round the whole sum would be lost with its end.
        if expression.start == left.start and expression.end == right.end:
            signed = right.inches(unit) * (1 if expression.operator == "+" else -1) + by
            before = said(left)
            if not signed:
                return before
            return f"{before} {'+' if signed > 0 else '-'} {spelt(abs(signed), unit, said(right))}"
    if scope is not None and isinstance(expression, Operation) and expression.operator in {"+", "-"}:
        counted = _counted(expression, said, by, scope)
        if counted is not None:
            return counted
    return f"{said(expression)} {'+' if by > 0 else '-'} {spelt(abs(by), unit)}"


def _counted(total: Operation, said: Callable[[Expression], str], by: Fraction, scope: Scope) -> str | None:
    """A sum with a name in it taken another number of times, as `wide - 2 * t`: the one that changes least."""
    ways, words = [], said(total)
    node: Expression = total
    while isinstance(node, Operation) and node.operator in {"+", "-"}:
        found = last_term(node, scope)
        if found is not None and isinstance(found[2], Name) and node.end == node.right.end:
            times, value, term = found
            count = times + by / value
            if count.denominator == times.denominator == 1 and (count * times >= 0 or count == -times):
                many = said(term) if abs(count) == 1 else f"{abs(count)} * {said(term)}"
                new = f" {'+' if count > 0 else '-'} {many}" if count else ""
                new = f"{words[: node.left.end - total.start]}{new}{words[node.end - total.start :]}"
                ways.append((abs(count - times), new))
        node = node.left
    return min(ways, key=itemgetter(0))[1] if ways else None
