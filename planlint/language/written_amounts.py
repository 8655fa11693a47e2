"""Numbers as they are written, to exact values."""

import re
from fractions import Fraction

from planlint.language.vocabulary import UNIT_BY_WORD
from planlint.text.measures import INCH_PER_UNIT

MOST_DIGITS = 12
"""Digits of one number. Basis: own judgement; no length of a plan needs half of them."""


SURELY_MIXED = 64
"""A tight fraction of more than so many units is asked about: nobody measures 100-1/2 as 201 halves.
Basis: our own judgement."""

_OF_A_RULE = frozenset({"2", "4", "8", "16", "32", "64"})


def number_problem(text: str) -> str:
    """What is wrong with a number that is otherwise well written, or nothing."""
    if re.search(rf"\d{{{MOST_DIGITS + 1}}}", text):
        return f"this number has more than {MOST_DIGITS} digits, more than any length of a plan"
    if re.search(r"/0+(?!\d)", text):
        return "a fraction with 0 under the line has no size"
    return _run_together(text) if "/" in text else ""


def _run_together(text: str) -> str:
    """What to say of a mixed number that lost its dash, such as `201/2`; nothing of any other.

    Only where the top ends in the top of a proper fraction of a rule (1/2 to 63/64), and the whole is over
    ``SURELY_MIXED``. A length divided can always be written `201 / 2`. Basis: own judgement.
    """
    divided = re.match(r"(?:[^/]*[^-\ .0-9/])?([0-9]+)/([0-9]*)", text)
    top, under = divided.groups() if divided is not None else ("", "")
    if under not in _OF_A_RULE or int(top) <= SURELY_MIXED * int(under):
        return ""
    parts = [(top[:-digits], top[-digits:]) for digits in (2, 1)]
    meant = [
        f"`{whole}-{part}/{under}`"
        for whole, part in parts
        if whole and part[0] != "0" and int(part) % 2 and int(part) < int(under)
    ]
    if not meant:
        return ""
    return f"did you mean {' or '.join(meant)}? To divide {top} by {under}, write `{top} / {under}`"


def point_for_dash(divided: str, by: str) -> str:
    """What to say of ``30.1/2``: a mixed number with a point for its dash, or a decimal divided; nothing of others."""
    whole, point, top = divided.partition(".")
    if not point or by not in _OF_A_RULE or not (top.isdigit() and int(top) < int(by)):
        return ""
    return f"did you mean `{whole}-{top}/{by}`? To divide {divided} by {by}, write `{divided} / {by}`"


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
        if found and whole:  # A dash before it is a sign.
            return int(whole) + Fraction(part)
    return Fraction(text)
