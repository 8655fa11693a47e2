"""Head words of cut lists in the languages in which they are kept, and which of them a list's heads are in."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from unicodedata import normalize

from planlint.rulebook.figure_tables import figures

_COLUMNS = ("name", "count", "length", "width", "thickness", "material", "size")
HEADS: dict[str, dict[str, str]] = {
    language: dict(zip(_COLUMNS, words.split(";"), strict=True))
    for language, words in figures("cut_lists")["heads"].items()
}
"""Usual words for each column by language, without accents."""
_WEAK = "no nr num numero number item itemno itemnumber label partno partnumber position pos repere rep lfdnr"
WEAK = frozenset(_WEAK.split())
"""Heads that often stand over the numbers of the lines: they give way to another head for the same."""
_ANYWHERE = {
    "grain": "grain fibre fil maserung faserrichtung faser veta vena venatura veio nerf fiberriktning fiberretning",
    "unit": "unit units uom einheit unite unidad unita unidade eenheid enhet enhed yksikko jednostka jednotka",
}
"""Words that tell nothing of the language: grain, and the unit of each line. Basis: common practice, from memory."""
_UNSTACKED = str.maketrans({"ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d"})
_MEANINGS: dict[str, dict[str, str]] = {}
for _language, _columns in HEADS.items():
    for _column, _words in _columns.items():
        for _word in _words.split():
            _MEANINGS.setdefault(_word, {})[_language] = _column
for _column, _words in _ANYWHERE.items():
    _MEANINGS |= dict.fromkeys(_words.split(), dict.fromkeys(HEADS, _column))


class Ambiguous(ValueError):  # noqa: N818 - says what is wrong
    """A head that means different columns in languages that the other heads do not decide between."""


def folded(words: str) -> str:
    """Small letters without accents."""
    plain = normalize("NFKD", words.lower().translate(_UNSTACKED))
    return "".join(c for c in plain if not "\u0300" <= c <= "\u036f")


@dataclass(frozen=True, slots=True)
class HeadsRead:
    """What each head stands for, ``None`` where that is not known, and the language they are in."""

    columns: tuple[str | None, ...]
    language: str


def columns_of(cells: Sequence[str]) -> HeadsRead:
    """Which column each head of a list names. What has more meanings is read in the language of the most heads.

    Raises ``Ambiguous`` where that does not decide.
    """
    meanings = [_meanings(cell) for cell in cells]
    spoken = Counter(language for each in meanings for language in each)
    most = max(spoken.values(), default=0)
    languages = [language for language in HEADS if spoken[language] == most]
    if "English" in languages:
        languages = ["English"]
    columns: list[str | None] = []
    for cell, each in zip(cells, meanings, strict=True):
        told = {each[language] for language in languages if language in each}
        if not told:
            # A word of another language than the rest; short ones may be anything.
            told = {each["English"]} if "English" in each else set(each.values()) if _full(cell) else set()
        if len(told) > 1:
            ways = ", ".join(f"{column} in {language}" for language, column in each.items())
            raise Ambiguous(f"the head {cell.strip()} may mean {ways}: write it in full, or in English")
        columns.append(next(iter(told), None))
    return HeadsRead(tuple(columns), languages[0])


_FULL = 5
"""Letters from which a word stands for itself in a list of another language. Basis: our own judgement."""


def _full(cell: str) -> bool:
    return len("".join(re.findall(r"[a-z]+", folded(cell)))) >= _FULL


def size_order(head: str) -> tuple[str, ...]:
    """The measures that a head names one behind the other, as ``T x W x L``, in one language: all three, or two with a
    cross between them; else none."""
    told = re.sub(r"\b[a-z](x[a-z]){1,2}\b", lambda found: found[0].replace("x", "×"), folded(head))
    words = re.findall(r"[a-z]+|[×*]", re.sub(r"\bx\b", "×", told))
    bare = [word for word in words if word.isalpha()]
    runs = [bare[n : n + 3] for n in range(len(bare) - 2)]
    runs += [[words[n - 1], words[n + 1]] for n in range(1, len(words) - 1) if not words[n].isalpha()]
    for run in runs:
        for language in HEADS:
            said = tuple(_MEANINGS.get(word, {}).get(language, "") for word in run)
            if len({*said} & {"length", "width", "thickness"}) == len(run):
                return said
    return ()


_ASIDE = re.compile(
    r"\b((in|en|on|at|to) ?(stock|hand|order)|have|got|available|cost|price|boards? (feet|foot|ft)|"
    r"(edge|band|kante|chant|canto|bordo)(s|n|ing)?)\b"
)
"""What is remarked of a line: what is there, what it costs, which edges are banded."""


def _meanings(cell: str) -> dict[str, str]:
    """The column that a head names, by language."""
    if size_order(cell):
        return dict.fromkeys(HEADS, "size")
    words = re.findall(r"[a-z]+", folded(cell))
    if _ASIDE.search(" ".join(words)):
        return {}
    if cell.strip() == "#":
        return {"English": "count"}
    found = [_MEANINGS[word] for word in ("".join(words), *words) if word in _MEANINGS]
    # `Material Thickness` is a thickness, `Mat'l` a material.
    full = [_MEANINGS[word] for word in words if word in _MEANINGS and len(word) > 1]
    sizes = [each for each in full if each.get("English") in {"length", "width", "thickness"}]
    return next(iter((*sizes, *found)), {})


def weak(cell: str) -> bool:
    """Whether a head gives way to another for the same: a number of the line, or a size before planing."""
    words = re.findall(r"[a-z]+", folded(cell))
    return not words or "".join(words) in WEAK or says_rough(cell)


def says_rough(cell: str) -> bool:
    return re.match(r"\W*(rough|raw)\b", folded(cell)) is not None
