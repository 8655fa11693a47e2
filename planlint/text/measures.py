"""Lengths, angles, weights, counts and lists as a builder reads them.

One place for it: every sentence of the tool writes its numbers, and names one after another, through this module.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import isclose

Number = Fraction | float | int
INCH_PER_UNIT: dict[str, Fraction] = {
    "in": Fraction(1),
    "ft": Fraction(12),
    "mm": Fraction(10, 254),
    "cm": Fraction(100, 254),
    "m": Fraction(10000, 254),
}
"""Inches in one of each unit; 25.4 mm to the inch is exact by definition (1959 agreement)."""

UNIT_WORDS = {"in": "inches", "ft": "feet", "mm": "millimetres", "cm": "centimetres", "m": "metres"}


def read_as(said: Number, meant: Number, unit: str) -> str:
    """The unit, other than the plan's, in which the number that is said (in inches, as a bare one) comes to what is
    meant, to the nearest millimetre; empty where none does."""
    bare = float(said) / float(INCH_PER_UNIT[unit])
    units = ("mm",) if in_inches(unit) else ("in", "cm")
    fit = (each for each in units if abs(bare * float(INCH_PER_UNIT[each]) - float(meant)) < 1 / 50)
    return next(fit, "") if meant else ""


def in_inches(unit: str) -> bool:
    """Whether a plan that counts in ``unit`` is told in inches; else it is told in millimetres."""
    return unit in {"in", "ft"}


def rule_mark(unit: str) -> float:
    """What a rule is read to, in inches: 1/16 in, or a whole millimetre."""
    return 1 / 16 if in_inches(unit) else 1 / 25.4


def bare_inches(value: Number) -> str:
    """``1.25`` as ``1-1/4``: sixteenths (to 1/64) where they fit within 0.0005 in, else three decimals."""
    number = float(value)
    sign = "-" if number < 0 else ""
    number = abs(number)
    for parts in (1, 2, 4, 8, 16, 32, 64):
        count = round(number * parts)
        if isclose(count / parts, number, abs_tol=5e-4):
            whole, rest = divmod(count, parts)
            if not rest:
                return f"{sign if whole else ''}{whole}"
            part = Fraction(rest, parts)
            return f"{sign}{f'{whole}-' if whole else ''}{part.numerator}/{part.denominator}"
    return f"{sign}{number:.3f}"


def bare_length(value: Number, unit: str) -> str:
    """A length given in inches, without the unit that it is told in: of millimetres to a tenth."""
    # No nothing with a sign.
    return bare_inches(value) if in_inches(unit) else f"{round(float(value) * 25.4, 1) + 0.0:g}"


def length(value: Number, unit: str = "in") -> str:
    """A length given in inches, written in the plan's own unit (metric plans read millimetres): ``1-1/4 in``."""
    return f"{bare_length(value, unit)} {'in' if in_inches(unit) else 'mm'}"


def with_its_unit(number: str, unit: str) -> str:
    """A number of what is told in the plural: ``1 screw``, ``2 screws``, ``1 of all eyes``."""
    return f"{number} {unit.removesuffix('s') if number == '1' and ' ' not in unit else unit}"


def by_rule(value: Number, unit: str = "in") -> str:
    """A length to mark with a rule: as usual, or where no rule has its mark, at the nearest (1/32 in, half a
    millimetre) with the exact measure behind it: ``5-3/8 in (5.385)``."""
    told = length(value, unit)
    if in_inches(unit):
        near = length(Fraction(round(float(value) * 32), 32)) if "." in told else told
    else:
        near = f"{round(float(value) * 50.8) / 2:g} mm"
    return told if near == told else f"{near} ({bare_length(value, unit)})"


def past(value: Number, unit: str = "in") -> str:
    """How far something goes too far: a length, or ``a hair`` where no rule shows it."""
    told = length(value, unit)
    return "a hair" if told == length(0, unit) else told


POUNDS_PER_KG = Fraction(100_000_000, 45_359_237)
"""Exact by definition: the pound is 0.45359237 kg."""


def weight(pounds: Number, unit: str = "in") -> str:
    """What weighs so many pounds, in pounds, or in kilograms for a metric plan: ``62 lb``, ``0.4 lb``, ``28 kg``."""
    metric = not in_inches(unit)
    number = float(pounds / POUNDS_PER_KG) if metric else float(pounds)
    return f"{number:.{0 if abs(number) >= 10 else 1}f} {'kg' if metric else 'lb'}"


def stress(psi: Number, unit: str = "in") -> str:
    """Pounds per square inch in three figures: ``2,350 psi``, for a metric plan ``16.2 N/mm2``."""
    if in_inches(unit):
        return f"{float(f'{float(psi):.3g}'):,.0f} psi"
    return f"{float(f'{float(psi) * 0.00689476:.3g}'):g} N/mm2"


def to_sixteenth(value: Number, unit: str = "in") -> str:
    """A length to set out with a rule: rounded to 1/16 in, or to a whole millimetre."""
    return length(at_mark(value, unit), unit)


def at_mark(value: Number, unit: str) -> Fraction:
    """The nearest mark of a rule: a sixteenth of an inch, or a whole millimetre."""
    return (
        Fraction(round(float(value) * 16), 16)
        if in_inches(unit)
        else Fraction(round(float(value) * 25.4) * 10, 254)
    )


def degrees(value: Number) -> str:
    """An angle to a hundredth of a degree."""
    number = f"{round(float(value), 2):g}"
    return f"{number} degree{'' if number == '1' else 's'}"


def told_apart(one: Number, other: Number, unit: str = "in") -> tuple[str, str]:
    """Two lengths side by side, in inches: as usual, but in thousandths (hundredths of a millimetre) where they would
    read alike, or as a fraction beside decimals that are next to it."""
    first, second = length(one, unit), length(other, unit)
    near = to_sixteenth(one) == to_sixteenth(other) and ("." in first) is not ("." in second)
    if float(one) == float(other) or (first != second and not (near and in_inches(unit))):
        return first, second
    if in_inches(unit):
        return f"{float(one):.3f} in", f"{float(other):.3f} in"
    return f"{float(one) * 25.4:.2f} mm", f"{float(other) * 25.4:.2f} mm"


def stations_told(values: Iterable[float], unit: str) -> str:
    """``1-1/2, 6 and 12 in``: lengths to set out with a rule, the unit told once."""
    *most, last = (at_mark(value, unit) for value in values)
    bare = ", ".join(bare_length(each, unit) for each in most)
    return f"{bare} and {length(last, unit)}" if bare else length(last, unit)


def in_words(words: Iterable[str], last: str = "and") -> str:
    """``top, bottom and back``."""
    told = list(words)
    return f" {last} ".join([", ".join(told[:-1]), told[-1]]) if len(told) > 1 else "".join(told)


def listed(names: Sequence[str], most: int = 8) -> str:
    """``a``, ``a and b``, ``a, b and c``; of many only the first, and how many more."""
    if len(names) > most:
        return f"{', '.join(names[: most - 1])} and {len(names) - most + 1} more"
    return in_words(names)


def in_short(names: list[str]) -> list[str]:
    """The names of a ring; of more than eight the first four and the last three."""
    return names if len(names) <= 8 else [*names[:4], "…", *names[-3:]]


def some_of(count: int, of: int, what: str) -> str:
    """``the pocket``, ``both pockets``, ``all 3 pockets`` or ``1 of 3 pockets``."""
    if of == 1:
        return f"the {what}"
    if count < of:
        return f"{count} of {of} {what}s"
    return f"both {what}s" if of == 2 else f"all {of} {what}s"
