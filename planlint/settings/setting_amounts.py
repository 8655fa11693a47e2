"""Lengths, angles and shares as they are written in settings: always with their unit, where there could be two."""

import re
from typing import Any

from planlint.language.written_amounts import amount_of, number_problem
from planlint.model.expressions import MOST_INCHES

_PLAIN = r"(?:[0-9]+(?:(?:[- ][0-9]+)?/[0-9]+|\.[0-9]+)?|\.[0-9]+)"
_NUMBER = re.compile(_PLAIN)
_LENGTH = re.compile(
    rf"{_PLAIN}\s*(?:\"|in|inch|inches|mm|cm|m)"
    rf"|{_PLAIN}\s*(?:'|ft|foot|feet)(?:\s*{_PLAIN}\s*(?:\"|in|inch|inches))?"
)


def length_set(value: Any) -> float:
    """A length in inches from words such as ``"1-1/4 in"`` or ``"32 mm"``. Raises ``ValueError``."""
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise ValueError('a length is due here, in quotes and with its unit, such as "8 in" or "200 mm"')
    words = str(value).strip()
    if not isinstance(value, str) or _NUMBER.fullmatch(words):
        raise ValueError(f'a length has a unit: write "{words} in" or "{words} mm", in quotes')
    if not _LENGTH.fullmatch(words):
        raise ValueError(f'{_shown(words)} is not a length: write it such as "1-1/4 in" or "32 mm"')
    problem = number_problem(words)
    if problem:
        raise ValueError(problem)
    inches = float(amount_of(words)[0])
    if inches > MOST_INCHES:
        raise ValueError("this length is over 1000 ft: check its unit")
    return inches


def number_set(value: Any, word: str = "", example: str = "2.5") -> float:
    """A number, plain or with its ``word`` behind it in quotes: ``2.5``, ``"2.5 diameters"`` or ``"1 diameter"``."""
    if isinstance(value, str) and word:
        words = value.strip()
        for ending in (word, word.removesuffix("s")):
            bare = words.removesuffix(ending).strip()
            if words.endswith(ending) and _NUMBER.fullmatch(bare) and not number_problem(bare):
                return float(amount_of(bare)[0])
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        behind = f' or "{example} {word}"' if word else ""
        raise ValueError(f"a number is due here, such as {example}{behind}")
    if not 0 <= value < 1e6:  # Not a number is no such thing either.
        raise ValueError("this must be a number from 0 up")
    return float(value)


def whole(value: Any, word: str = "", example: str = "2") -> int:
    """A number of things that are counted."""
    counted = number_set(value, word, example)
    if not counted.is_integer():
        raise ValueError(f"{word or 'these'} are counted: write a whole number, such as {example}")
    return int(counted)


def share(value: Any) -> float:
    """A part of a whole, 0 to 1: ``0.05`` or ``"5 %"``."""
    due = 'this is a share of all, from 0 to 1: write it such as 0.05 or "5 %"'
    try:
        part = number_set(value, "%") / (100 if isinstance(value, str) else 1)
    except ValueError as problem:
        raise ValueError(due) from problem
    if part > 1:
        raise ValueError(due)
    return part


def angle(value: Any) -> float:
    """Degrees: ``15`` or ``"15 degrees"``."""
    return number_set(value, "degrees", "15")


def percent(value: Any) -> float:
    """``45`` or ``"45 %"``."""
    percents = number_set(value, "%", "45")
    if percents > 100:
        raise ValueError("this is more than 100 %")
    return percents


def _shown(words: str) -> str:
    shown = words if len(words) <= 40 else f"{words[:37]}…"
    return f'"{shown}"'
