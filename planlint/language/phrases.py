"""Phrases of another's words, as patterns, and what the plan language says instead."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from planlint.language.vocabulary import SIDE_WORDS

_LENGTH = r"[0-9]+(?:[-. ][0-9]+)?(?:/[0-9]+)?(?: ?(?:inch|in|mm|cm|ft|\"|'))?(?![\w/])"
_SIDE = f"(?:{'|'.join(SIDE_WORDS)})"

Ours = str | Callable[[re.Match[str]], str]


class Phrase(NamedTuple):
    """Words of another's, where they may stand (the kinds of line, or the first word of one), and the plan's."""

    places: frozenset[str]
    theirs: re.Pattern[str]
    ours: Ours


def phrases(places: str, *pairs: tuple[str, Ours]) -> list[Phrase]:
    """``<L>`` and ``<S>`` stand for a length and a side that is taken over, ``<SIDE>`` for one that is not."""
    among = frozenset(places.split())
    made = []
    for theirs, ours in pairs:
        pattern = theirs.replace("<L>", f"({_LENGTH})").replace("<S>", f"({_SIDE})").replace("<SIDE>", _SIDE)
        made.append(Phrase(among, re.compile(pattern, re.IGNORECASE), ours))
    return made
