"""Lengths and counts as cut lists give them: ``1-1/2``, ``19mm``, ``2' 6"``, ``876,3``, and how their commas are meant;
``2``, ``4 pcs``, ``a pair``, ``half a dozen``."""

import re
from collections.abc import Sequence
from fractions import Fraction
from math import prod
from typing import NamedTuple
from unicodedata import normalize

from planlint.draft.head_words import folded

UNITS = {
    **dict.fromkeys(("in", "ins", "inch", "inches", '"', "″", "”", "“", "zoll", "pouce", "pouces"), "in"),
    **dict.fromkeys(
        ("pulgada", "pulgadas", "polegada", "polegadas", "pollice", "pollici", "tum", "duim"), "in"
    ),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "’"), "ft"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
}


class Commas(NamedTuple):
    """How numbers are written: whether a comma may stand for the decimal point, and whether any comma does."""

    decimal: bool
    there: bool


_THOUSANDS = re.compile(r"\d{1,3}\.\d{3}$")


def commas_of(cells: Sequence[str]) -> Commas:
    """By all cells of a list."""
    cells = [ungrouped(cell) for cell in cells]
    points = [cell for cell in cells if re.search(r"\d\.\d", cell) and not _THOUSANDS.match(cell)]
    return Commas(not points, any(re.search(r"\d,\d", cell) for cell in cells))


_GROUPED = re.compile(r"(?<![\d./])(\d{1,3})((?:[\s'’]\d{3})+)(?![\d/])")
"""``1 200``, ``1'200``: thousands set apart."""
_GROUPED_BY_MARK = re.compile(r"(?<![\d.,])\d{1,3}(?:(?:\.\d{3})+(?=,\d)|(?:,\d{3})+(?=\.\d))")
"""``1.200,5``, ``1,200.5``: two marks leave no doubt which is the decimal one."""


def ungrouped(told: str) -> str:
    """Without what sets thousands apart; as it is where nothing does."""
    told = _GROUPED_BY_MARK.sub(lambda found: re.sub(r"\D", "", found[0]), told)
    return _GROUPED.sub(lambda found: found[1] + re.sub(r"\D", "", found[2]), told)


_MIXED = re.compile(r"(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*[/⁄]\s*(\d+)$")


def length_told(told: str, *, commas: Commas) -> tuple[Fraction, str | None]:
    """``1-1/2"``, ``19mm``, ``2' 6"``, ``876,3``: the value and its unit, if it says one. Raises ``ValueError``."""
    words = ungrouped(told.strip().lower())
    words = re.sub(r"(?<=\d)(?=[¼-¾⅐-⅞])", "-", words)
    words = re.sub(r"[¼-¾⅐-⅞]", lambda found: normalize("NFKD", found[0]), words)
    feet = re.match(r"([\d./ -]+?)\s*(?:'|′|’|ft\.?|feet|foot)\s*-?\s*(.+)$", words)
    if feet:
        rest, unit = length_told(feet[2], commas=commas)
        if unit not in {None, "in"} or rest >= 12:
            raise ValueError(f"{shown(told)} is not understood as a length")
        return _plain(feet[1], told, commas=commas) * 12 + rest, "in"
    unit = None
    tail = re.search(r"([a-z]+\.?|\"|″|”|''|'|′|’)$", words)
    if tail:
        sign = tail[1].rstrip(".").replace("''", '"')
        if sign not in UNITS:
            raise ValueError(f"{shown(told)} is not understood as a length")
        unit, words = UNITS[sign], words[: tail.start()].strip()
    return _plain(words, told, commas=commas), unit


def _plain(words: str, told: str, *, commas: Commas) -> Fraction:
    words = words.strip()
    if re.search(r"\d\s+[-–]\s+\d|\d\s*[-–~]\s*\d+(?![\d/⁄])", words):
        raise ValueError(f"{shown(told)} is not understood as one length: a mixed number is written 1-1/2")
    mixed = _MIXED.match(words)
    if mixed and int(mixed[3]) and not (mixed[1] and int(mixed[2]) >= int(mixed[3])):
        return Fraction(mixed[1] or 0) + Fraction(int(mixed[2]), int(mixed[3]))
    if commas.there and _THOUSANDS.match(words):
        raise ValueError(f"is the point in {shown(told)} a decimal one? Write it without, or with a comma")
    if re.fullmatch(r"\d+(\.\d+)?|\.\d+", words):
        return Fraction(words)
    if re.fullmatch(r"\d+,\d+", words):
        whole, _, after = words.partition(",")
        if not commas.decimal or len(after) == 3:
            raise ValueError(f"is the comma in {shown(told)} a decimal one? Write it with a point")
        return Fraction(f"{whole}.{after}")
    raise ValueError(f"{shown(told)} is not understood as a length")


def shown(words: str) -> str:
    """A cell as it is told: in quotes, on one line, not too long."""
    words = "".join(c if c.isprintable() else "?" for c in words)
    return f'"{words if len(words) <= 30 else words[:29] + "…"}"'


MOST_OF_ONE = 500
"""Parts that one line may ask for. Basis: own judgement."""
_PIECES = r"(?<![a-z])\s*(pcs?|pieces?|off|ea|each|x|stk|stuck|st|pz|szt|ks|kpl|uds?|un)\.?$"
_BY_MANY = (
    r"((?P<many>a|half a|\w+)\s*)??((?P<pair>pairs?|prs?|paare?|paires?)|dozens?|doz|dz|dutzend)\.?( of)?"
)
_NUMBERS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_NUMBERS += [f"{each}teen" for each in ("thir", "four", "fif", "six", "seven", "eigh", "nine")]
_NUMBERS += ["twenty", *(f"twenty {each}" for each in _NUMBERS[:9])]


def count_told(*told: str) -> int:
    """How many cells ask for, each times the others. Raises ``ValueError`` where that is not understood."""
    many = prod(map(_told, told))
    if not 1 <= many <= MOST_OF_ONE:
        said = shown(" x ".join(told)) if any(told) else "an empty cell"
        raise ValueError(f"how many? {said} is no number from 1 to {MOST_OF_ONE}")
    return many


def _told(told: str) -> int:
    """Nought where it is not understood."""
    bare = re.sub(_PIECES, "", folded(told)).strip()
    times = 1
    if of := re.fullmatch(_BY_MANY, bare):
        times = (2 if of["pair"] else 12) // (1 + (of["many"] == "half a"))
        bare = "one" if of["many"] in {None, "a", "half a", "ein", "une"} else of["many"]
    bare = re.sub(r"^[x×]\s*|[.,]0+$", "", bare)
    if (words := bare.replace("-", " ")) in _NUMBERS:
        return times * (_NUMBERS.index(words) + 1)
    return times * int(bare) if bare.isdecimal() else 0


def counts(cells: list[str]) -> list[int]:
    """Those of the cells that say how many."""
    return [many for many in map(_told, cells) if 1 <= many <= MOST_OF_ONE]
