"""Numbers as they are written, to exact values."""

from __future__ import annotations

from fractions import Fraction

from planlint.language.words import UNIT_BY_WORD
from planlint.text.measures import INCH_PER_UNIT

MOST_DIGITS = 12
"""Digits of one number. Basis: own judgement; no length of a plan needs half of them."""


def number_problem(text: str) -> str:
    """What is wrong with a number that is otherwise well written, or nothing."""
    digits = 0
    for character in text:
        digits = digits + 1 if character.isdigit() else 0
        if digits > MOST_DIGITS:
            return f"this number has more than {MOST_DIGITS} digits, more than any length of a plan"
    _, slash, after = text.partition("/")
    while slash:
        denominator, slash, after = after.partition("/")
        under = ""
        for character in denominator:
            if not character.isdigit():
                break
            under += character
        if under and not int(under):
            return "a fraction with 0 under the line has no size"
    return ""


def amount_of(text: str) -> tuple[Fraction, str | None]:
    """The value of a number literal, in inches if it has a unit, and that unit (``None`` without)."""
    first = text
    for mark in ("'", "feet", "foot", "ft"):
        feet, found, rest = first.partition(mark)
        rest = rest.strip()
        if found:
            value = _plain(feet) * 12
            return value + (_with_unit(rest)[0] if rest else 0), "ft"
    return _with_unit(text)


def _with_unit(text: str) -> tuple[Fraction, str | None]:
    number = text.rstrip("\"' abcdefghijklmnopqrstuvwxyz\t")
    unit = UNIT_BY_WORD.get(text[len(number) :].strip())
    value = _plain(number)
    return (value * INCH_PER_UNIT[unit], unit) if unit else (value, None)


def _plain(text: str) -> Fraction:
    text = text.strip()
    for between in ("-", " "):
        whole, found, part = text.partition(between)
        if found:
            return int(whole) + Fraction(part)
    return Fraction(text)
