"""How a value is written in a ``planlint.toml``: in words that read back as the same."""

import json
import re
from collections.abc import Iterable
from fractions import Fraction
from math import isclose

from planlint.settings.setting_amounts import length_set
from planlint.text.measures import length, with_its_unit

_SAME = 1e-9
"""Two numbers that differ by less of themselves are the same: they were written once in inches, once in millimetres."""


def key_words(*keys: str) -> str:
    """A dotted key."""
    return ".".join(key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else quoted(key) for key in keys)


def quoted(words: str) -> str:
    return json.dumps(words, ensure_ascii=False)


def toml_array(words: Iterable[str]) -> str:
    return f"[{', '.join(words)}]"


def length_words(value: float) -> str:
    """A length given in inches: as a rule has it, else in whole millimetres, else to many decimals."""
    ways = (length(value), length(value, "mm"))
    return quoted(
        next(
            (words for words in ways if isclose(length_set(words), value, rel_tol=_SAME)),
            f"{plain_number(value)} in",
        )
    )


def with_unit(value: float, unit: str) -> str:
    """A rule's limit, in its own unit."""
    if unit == "in":
        return length_words(value)
    if unit == "of all eyes":
        return quoted(f"{plain_number(value * 100)} %")
    return quoted(with_its_unit(plain_number(value), unit))


def ratio_words(value: float) -> str:
    """A share of the thickness, as a fraction where it is one."""
    part = Fraction(value).limit_denominator(64)
    number = str(part) if isclose(part, value, rel_tol=_SAME) else plain_number(value)
    return quoted(f"{number} of the thickness")


def plain_number(value: float) -> str:
    """A number without an exponent, and without digits that say nothing."""
    return f"{value:.11f}".rstrip("0").rstrip(".")
