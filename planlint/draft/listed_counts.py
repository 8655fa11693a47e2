"""How many, as cut lists give it: ``2``, ``4 pcs``, ``a pair``, ``half a dozen``."""

from __future__ import annotations

import re
from contextlib import suppress

from planlint.draft.head_words import folded
from planlint.draft.listed_lengths import shown

MOST_OF_ONE = 500
"""Parts that one line may ask for. Basis: own judgement."""
_PIECES = r"(?<![a-z])\s*(pcs?|pieces?|off|ea|each|x|stk|stuck|st|pz|szt|ks|kpl|uds?|un)\.?$"
_BY_MANY = (
    r"((?P<many>a|half a|\w+)\s*)??((?P<pair>pairs?|prs?|paare?|paires?)|dozens?|doz|dz|dutzend)\.?( of)?"
)
_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def count_told(told: str) -> int:
    """How many a cell asks for. Raises ``ValueError`` where that is not understood."""
    bare = re.sub(_PIECES, "", folded(told)).strip()
    times = 1
    if of := re.fullmatch(_BY_MANY, bare):
        times = (2 if of["pair"] else 12) // (1 + (of["many"] == "half a"))
        bare = "one" if of["many"] in {None, "a", "half a", "ein", "une"} else of["many"]
    bare = re.sub(r"^[x×]\s*|[.,]0+$", "", bare)
    bare = str(_NUMBERS.index(bare) + 1) if bare in _NUMBERS else bare
    if not bare.isdecimal() or not 1 <= times * int(bare) <= MOST_OF_ONE:
        raise ValueError(
            f"how many? {shown(told)} is no number from 1 to {MOST_OF_ONE}"
            if told
            else "how many? nothing is said"
        )
    return times * int(bare)


def counts(cells: list[str]) -> list[int]:
    """Those of the cells that say how many."""
    found = []
    for cell in cells:
        with suppress(ValueError):
            found.append(count_told(cell))
    return found
