"""Lengths as cut lists give them: ``1-1/2"``, ``19mm``, ``2' 6"``, ``876,3``, and how their commas are meant."""

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple
from unicodedata import normalize

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
