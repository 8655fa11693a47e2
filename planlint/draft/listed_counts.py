"""How many, as cut lists give it: ``2``, ``4 pcs``, ``a pair``, ``half a dozen``."""

import re
from math import prod

from planlint.draft.head_words import folded
from planlint.draft.listed_lengths import shown

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
