"""Woods and panels as cut lists name them: with sizes, grades and surfacing among the words, or in another language."""

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from planlint.draft.head_words import folded
from planlint.draft.listed_amounts import Commas, length_told
from planlint.model.timber import Material, find_material, material_of
from planlint.model.trade_sizes import dressed, nominal_of
from planlint.rulebook.figure_tables import figures

_GRADES = (
    r"\b(s[1-4]s\d?e?|kd|kiln[ -]dried|air[ -]dried|solid|select|clear|fas|common|prime|grade|rough|planed|dressed|"
    r"surfaced|thick|boards?|lumber|timber|sheets?|stud|wood|massiv|massief)\b|#\s*\d\b|\bno\.? ?[12]\b"
)
"""Words and marks of surfacing, drying and grade, which change no size and no species. Basis: common practice."""
_NOMINAL = re.compile(r"(?<![\w/.,])(\d{1,2}(?:/4)?)\s*[x×]\s*(\d{1,2})(?![\w/.,\"″”'’])")
_QUARTERS = re.compile(r"(?<![\w/.,-])(?:4|5|6|8|10|12|16)/4(?![\w/.,\"″”])")
_SIZE = re.compile(
    r"(?<![\w/.,-])((?:\d+[ -])?\d+\s*/\s*\d+|\d+(?:[.,]\d+)?|\d*[¼½¾⅛⅜⅝⅞])"
    r"\s*(mm|cm|inches|inch|in\b\.?|\"|″|”)?(?![\w/.,])",
    re.IGNORECASE,
)

MOST_PANEL = 2
"""Inches beyond which no panel is thick. Basis: own judgement."""
MOST_SQUAT = 4
"""So many times its length no solid part is wide. Basis: own judgement."""


@cache
def _known_here() -> dict[str, str]:
    """By what it is called in other languages and in short, without accents, a wood or panel known here."""
    told = figures("cut_lists")["woods"].items()
    return {name: known for known, names in told for name in names.split(", ")}


class ToldWood(NamedTuple):
    """What a cell names: the ``material``, ``None`` where that is not known; the ``words`` that are left of it; the
    sizes among them, in inches; ``nominal`` where these are those of a nominal size, dressed."""

    material: Material | None
    words: str
    thickness: Fraction | None = None
    unit: str | None = None
    """Of ``thickness``, which is a bare number where no unit is said."""
    width: Fraction | None = None
    nominal: str = ""

    @property
    def as_told(self) -> bool:
        """Whether the cell is the name of the material and no more."""
        return self.material is not None and folded(self.words) == folded(self.material.name)


def told_wood(cell: str, commas: Commas) -> ToldWood:
    """The wood or panel of a cell, and a size among its words."""
    known = _named(cell)
    if known is not None:
        return ToldWood(known, cell)
    words = re.sub(_GRADES, " ", cell, flags=re.IGNORECASE)
    nominal = _NOMINAL.search(words)
    if nominal and (both := dressed(f"{nominal[1]}x{nominal[2]}")) is not None:
        bare = _tidied(words.replace(nominal[0], " ", 1))
        wood = _named(bare)
        if not bare or (wood is not None and wood.solid):
            return ToldWood(wood, bare, both[0], "in", both[1], f"{nominal[1]}x{nominal[2]}")
        words = words.replace(nominal[0], " ", 1)  # The size of a sheet, in feet.
    words = _QUARTERS.sub(" ", words)
    sizes = list(_SIZE.finditer(words))
    if len(sizes) != 1:
        words = _tidied(words)
        return ToldWood(None if sizes else _named(words), words)
    try:
        thickness, unit = length_told(sizes[0][0].rstrip("."), commas=commas)
    except ValueError:
        return ToldWood(None, cell)
    unit = unit or ("in" if re.search(r"[/¼½¾⅛⅜⅝⅞]", sizes[0][0]) else None)
    words = _tidied(words.replace(sizes[0][0], " ", 1))
    return ToldWood(_named(words), words, thickness, unit)


def _tidied(words: str) -> str:
    return " ".join(words.split()).strip(" ,;-()")


def _named(words: str) -> Material | None:
    """A material by its name here, by that elsewhere, or by its last word where that is a panel's."""
    words = " ".join(words.split())
    before, comma, behind = words.partition(", ")
    bracket = re.fullmatch(r"(.+?)\s*\((.+)\)", words)
    for each in (
        words,
        f"{behind} {before}" if comma else "",
        f"{bracket[2]} {bracket[1]}" if bracket else "",
    ):
        plain = re.sub(r"\bply\b", "plywood", each, flags=re.IGNORECASE).strip()
        if not plain:
            continue
        found = find_material(plain) or find_material(_known_here().get(folded(plain).replace("-", " "), ""))
        graded = plain.replace(" ", "").replace("-", "").isalnum() and not re.search(r"\b\d", plain)
        if found is None and graded and plain.split()[-1].lower() in figures("woods")["panel_words"]:
            found = material_of(plain)
        if found is not None:
            return found
    return None


def order_doubted(
    length: Fraction, width: Fraction, thickness: Fraction, wood: ToldWood, *, as_sawn: bool
) -> Iterator[str]:
    """Of sizes that may stand in other columns; raises ``ValueError`` where no part is so."""
    if thickness > width:
        why = "write what it is planed to" if as_sawn else "are the columns in another order?"
        raise ValueError(f"it is thicker{' as sawn' * as_sawn} than it is wide: {why}")
    if thickness > MOST_PANEL and not (wood.material is None or wood.material.solid):
        raise ValueError("no panel is as thick as that: are the columns in another order?")
    if wood.material is not None and wood.material.solid and width > MOST_SQUAT * length:
        raise ValueError(
            "it is far wider than it is long with the grain: are length and width in another order?"
        )
    if width > length:
        yield "it is wider than it is long, and its grain runs along the length"
    soft = wood.material is not None and wood.material.kind == "softwood"
    name = nominal_of(thickness, width) if soft else None
    if name and not (wood.nominal or as_sawn):
        yield f"{name} is read as what it measures: where that is the name it is sold by, write what it is dressed to"
