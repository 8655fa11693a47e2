"""Head words of cut lists in the languages in which they are kept, and which of them a list's heads are in."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from unicodedata import normalize

HEADS: dict[str, dict[str, str]] = {
    "English": {
        "name": "name part parts item component piece description label element",
        "count": "count qty quantity number no pcs pieces pc amount many howmany nos",
        "length": "length long len l",
        "width": "width wide w breadth broad",
        "thickness": "thickness thick thk th t gauge",
        "material": "material mat matl wood species timber stock lumber board sheet",
        "size": "size dimensions dims lxwxt measurements",
    },
    "German": {
        "name": "bezeichnung benennung teil bauteil name werkstuck position pos element",
        "count": "anzahl stuck stueck stuckzahl stk menge anz nr",
        "length": "lange laenge l",
        "width": "breite b",
        "thickness": "dicke starke staerke materialstarke d",
        "material": "material werkstoff holz holzart platte plattenmaterial",
        "size": "masse abmessung abmessungen mass",
    },
    "French": {
        "name": "designation nom piece pieces element repere rep",
        "count": "quantite qte nombre nb nbre no",
        "length": "longueur long",
        "width": "largeur larg",
        "thickness": "epaisseur epais ep",
        "material": "materiau materiaux matiere bois essence panneau",
        "size": "dimensions",
    },
    "Spanish": {
        "name": "nombre pieza descripcion denominacion elemento parte",
        "count": "cantidad cant unidades uds numero",
        "length": "largo longitud",
        "width": "ancho anchura",
        "thickness": "espesor grosor grueso",
        "material": "material madera tablero",
        "size": "medidas dimensiones",
    },
    "Italian": {
        "name": "nome pezzo descrizione elemento particolare denominazione",
        "count": "quantita qta qt pezzi numero pz",
        "length": "lunghezza lung",
        "width": "larghezza larg largo",
        "thickness": "spessore spess sp",
        "material": "materiale legno essenza pannello",
        "size": "dimensioni misure",
    },
    "Portuguese": {
        "name": "nome peca descricao elemento parte",
        "count": "quantidade qtd qtde numero",
        "length": "comprimento comp",
        "width": "largura largo",
        "thickness": "espessura esp",
        "material": "material madeira painel chapa",
        "size": "medidas dimensoes",
    },
    "Dutch": {
        "name": "naam onderdeel omschrijving benaming deel element",
        "count": "aantal stuks stuk st nr",
        "length": "lengte l",
        "width": "breedte b",
        "thickness": "dikte d",
        "material": "materiaal hout houtsoort plaat",
        "size": "afmeting afmetingen maat maten",
    },
    "Swedish": {
        "name": "namn del benamning beskrivning detalj",
        "count": "antal st nr",
        "length": "langd l",
        "width": "bredd b",
        "thickness": "tjocklek t",
        "material": "material tra traslag virke skiva",
        "size": "matt dimension",
    },
    "Danish or Norwegian": {
        "name": "navn del emne betegnelse beskrivelse",
        "count": "antal stk nr",
        "length": "laengde lengde l",
        "width": "bredde b",
        "thickness": "tykkelse t",
        "material": "materiale trae tre traesort treslag plade",
        "size": "mal",
    },
    "Finnish": {
        "name": "nimi osa kuvaus",
        "count": "maara lukumaara kpl",
        "length": "pituus",
        "width": "leveys",
        "thickness": "paksuus",
        "material": "materiaali puu puulaji levy",
        "size": "mitat",
    },
    "Polish": {
        "name": "nazwa element opis",
        "count": "ilosc sztuk szt liczba",
        "length": "dlugosc",
        "width": "szerokosc",
        "thickness": "grubosc",
        "material": "material drewno plyta",
        "size": "wymiary wymiar",
    },
    "Czech": {
        "name": "nazev dil popis",
        "count": "pocet ks kusu mnozstvi",
        "length": "delka",
        "width": "sirka",
        "thickness": "tloustka",
        "material": "material drevo deska",
        "size": "rozmery rozmer",
    },
}
"""Usual words for each column by language, without accents. Basis: common practice, from memory."""
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


FULL = 5
"""Letters from which a word stands for itself in a list of another language. Basis: our own judgement."""


def _full(cell: str) -> bool:
    return len("".join(re.findall(r"[a-z]+", folded(cell)))) >= FULL


_LETTER = r"(l|w|t|length|width|thickness|thick)"
SIZE_ORDER = re.compile(rf"\b{_LETTER}(?:\s*[x×*/ ,]\s*|x){_LETTER}(?:\s*[x×*/ ,]\s*|x){_LETTER}\b")
"""Three measures in one head, as ``T x W x L``."""


_ASIDE = re.compile(
    r"\b((in|en|on|at|to) ?(stock|hand|order)|have|got|available|cost|price|boards? (feet|foot|ft))\b"
)
"""What is remarked of a line: what is there, what it costs."""


def _meanings(cell: str) -> dict[str, str]:
    """The column that a head names, by language."""
    if SIZE_ORDER.search(folded(cell)):
        return {"English": "size"}
    words = re.findall(r"[a-z]+", folded(cell))
    if _ASIDE.search(" ".join(words)):
        return {}
    if cell.strip() == "#":
        return {"English": "count"}
    return next((_MEANINGS[word] for word in ("".join(words), *words) if word in _MEANINGS), {})


def weak(cell: str) -> bool:
    """Whether a head gives way to another for the same: a number of the line, or a size before planing."""
    words = re.findall(r"[a-z]+", folded(cell))
    return not words or "".join(words) in WEAK or words[0] in {"rough", "raw"}
