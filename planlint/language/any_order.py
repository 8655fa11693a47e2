"""What a line says in whatever order: each thing is cut out of it by its own pattern, and what is left is looked at."""

import re
import tomllib
from functools import cache
from typing import NamedTuple

from planlint.language.vocabulary import COUNTED, SIDE_WORDS
from planlint.text.resources import resource

SIDE = f"(?:{'|'.join(SIDE_WORDS)})"
NUMBER = (
    r"(?<![\w/.])-?(?:[0-9]+(?:[- ][0-9]+/0*[1-9][0-9]*|/0*[1-9][0-9]*)?|[0-9]*\.[0-9]+)"
    rf"(?: ?(?:inches|inch|in(?! (?:\w+\.)?(?:{SIDE}|face|each|both|every|middle|cent)\b)|mm|cm|ft|feet)\b|\"|')?"
    r"(?![\w/]|\.[0-9])"
)
_FACING = {SIDE_WORDS[at]: SIDE_WORDS[at ^ 1] for at in range(len(SIDE_WORDS))}
MOST_CUT = 40
"""Times that one thing is cut out of a line."""
SEVERAL = "`, `"
"""Between lines that are told within one pair of marks."""
MANY_LEFT = 3
"""Words that count as left over for a line that is mostly filled in: it is offered for want of any other."""
_MANY = 9
"""Words that a number counts for, where it was not understood. Basis: our own judgement; no line has so many left."""


@cache
def _tables() -> dict[str, dict[str, str]]:
    return tomllib.loads(resource("grammar", "called.toml").read_text(encoding="utf-8"))


def called(what: str) -> dict[str, str]:
    """How builders call the things of a kind, by the plan's word for each: a table of ``grammar/called.toml``."""
    return _tables()[what]


class Offer(NamedTuple):
    """A line in the plan's words. Not ``sure``: something was filled in, or a word was not understood."""

    text: str
    sure: bool
    left: int = 0
    """Words that were not understood; a number counts for many."""
    beside: str = ""
    """What the line says besides, which has a line of its own."""
    lost: str = ""
    """The words that were not understood."""


class Said:
    """A line from which is cut what is understood."""

    def __init__(self, text: str) -> None:
        text = re.sub(r"\bthe ", "", re.sub(r"[ \t]+", " ", text), flags=re.IGNORECASE)
        text = re.sub(rf"\b{SIDE} (?={called('nouns')['pieces']}(?![.:,]))", "", text, flags=re.IGNORECASE)
        text = re.sub(r"\b([2-9]) pairs of ", lambda pairs: f"{2 * int(pairs[1])} ", text)
        for theirs, ours in called("words").items():
            text = re.sub(theirs, ours, text, flags=re.IGNORECASE)
        text = re.sub(r"(?<![\w/.-])([1-9])x (?=[0-9])", r"\1 , ", text)  # `2x 3/8` are two
        text = re.sub(r"(?<=[0-9'\"m]) ?(?:x|×|by) ?(?=[0-9])", " x ", text)
        text = re.sub(r"[∅⌀Øø] ?([0-9][0-9/.-]*(?: ?mm| ?in|\")?)", r"\1 dia ", text)
        text = re.sub(r"\b(top|bottom|front|back)s\b", r"\1", text)
        text = re.sub(r"\b([LWTHD])(?=[0-9])", r"\1 ", text)
        text = re.sub(r"(?<![\w/.])([0-9.]+)(?= x [0-9.]+ ?([cm]m)\b)", r"\1 \2", text)
        text = re.sub(rf"\b({'|'.join(COUNTED)})\b( (?=[0-9]))?", _number, text, flags=re.IGNORECASE)
        self.left = text
        self.filled = False

    def cut(self, *patterns: str) -> re.Match[str] | None:
        """The first that is found of some patterns, taken out; ``<N>`` stands for a number, ``<S>`` for a side."""
        for pattern in patterns:
            pattern = pattern.replace("<N>", f"({NUMBER})").replace("<S>", rf"\b({SIDE})\b")  # noqa: PLW2901
            found = re.search(pattern, self.left, re.IGNORECASE)
            if found is not None:
                self.left = f"{self.left[: found.start()]} , {self.left[found.end() :]}"
                return found
        return None

    def has(self, *patterns: str) -> bool:
        """Whether one of some patterns is found, and cut."""
        return self.cut(*patterns) is not None

    def one(self, *patterns: str) -> str:
        """The first stretch in brackets of what is cut, or nothing."""
        found = self.cut(*patterns)
        return next(filter(None, found.groups()), "") if found is not None else ""

    def every(self, *patterns: str) -> list[re.Match[str]]:
        found: list[re.Match[str]] = []
        while len(found) < MOST_CUT and (cut := self.cut(*patterns)) is not None:
            found.append(cut)
            if not cut[0]:
                break
        return found

    def which(self, what: str, *, every: bool = False) -> str:
        """The first of the things of a kind that is named, or nothing; ``every`` time it is."""
        found = (each for each, its in called(what).items() if (self.every(its) if every else self.cut(its)))
        return next(found, "")

    def sides(self) -> list[str]:
        """All sides that are named."""
        return list(
            dict.fromkeys(each[1].lower() for each in self.every("<S>(?: (?:face|side|edge|end)s?)?"))
        )

    def or_else(self, said: str, otherwise: str) -> str:
        """What is said, or what is filled in for it."""
        self.filled = self.filled or not said
        return said or otherwise

    def offer(self, text: str) -> Offer:
        left = re.sub(called("nouns")["empty"], "", self.left).split()
        counted = sum(_MANY if each[:1].isdigit() else 1 for each in left)
        return Offer(text, not left and not self.filled, counted, lost=" ".join(left))


def _number(word: re.Match[str]) -> str:
    return f"{COUNTED.index(word[1].lower()) + 1}{' , ' * bool(word[2])}"


def opposite(side: str) -> str:
    """The side across from one."""
    return _FACING[side.lower()]


def facing(one: str, other: str) -> bool:
    """Whether two sides face one another."""
    return _FACING[one.lower()] == other.lower()


_ROUND = ("front", "left", "right", "back")
_AT_WALL = (
    r"\b(?:(?:back )?(?:up )?against (?:a )?walls?|wall (?:at|on|behind)(?= back|$)|back (?:to|at|on) wall)\b"
)


def seen_told(line: str) -> Offer | None:
    """From which sides people look at the piece."""
    said = Said(line)
    said.every(r"\b(?:will|can|may|be|people|mostly|mainly|when|used)\b")
    looked = said.has(
        r"\b(?:see(?:n|s)?|look(?:s|ed|ing)?(?=.* from\b)|"
        r"visible|viewed|show[ns]?|exposed|in (?:sight|view))\b"
    )
    unseen = said.cut(
        rf"(?:,|\b(?:but|and)\b) ?{SIDE}(?:,? (?:and )?{SIDE})* (?:is|are)?(?: ?not|n't| hidden)\b.*$"
    )
    hidden = unseen is None and said.has(
        rf"\b(?:hidden|unseen|out of sight|not|nobody|no[- ]?one|never)\b(?!(?: from)? {SIDE})"
    )
    if said.cut(_AT_WALL):
        said.every(r"\b(?:back|stands?|standing|goes|set|placed|in (?:an? )?corner|3 sides)\b")
        behind = [] if looked else said.sides()
        return said.offer(f"seen from {', '.join(side for side in _ROUND[:3] if side not in behind)}")
    if said.cut(
        r"\bfree[- ]?standing\b|\bin (?:middle|centre|center) of (?:an? )?room\b|\baway from (?:an? )?walls?\b"
    ):
        said.every(r"\b(?:stands?|standing|placed)\b")
        return said.offer("seen from all round")
    if not looked:
        if said.has(r"\b(?:painted shut|built in)\b") or (hidden and not re.search(SIDE, said.left)):
            return said.offer("seen from nowhere")
        if not hidden:
            return None
    every = (
        said.has(r"\b(?:all|every(?:where|thing| side)?|4)(?: 4)?(?: (?:round|around|over|sides))?\b")
        or hidden
    )
    but = said.has(r"\b(?:but|except|not)(?: for)?\b") or hidden
    only_sides = not every and said.cut(r"(?:\bboth |(?<=and )|(?<=[,&+] ))(?:side|end)s\b") is not None
    counted = said.cut(r"\b(?:3|2)(?: sides)?\b")
    said.every(r"\bonly\b")
    named = said.sides()
    if said.cut(r"\b1 (?:side|end)\b"):
        named.append(said.or_else("", "left"))
    if every and (not named or but):
        kept = [side for side in _ROUND if side not in named]
        return said.offer(f"seen from {', '.join(kept)}" if named else "seen from all round")
    if counted is not None and not named:
        named = [said.or_else("", "front"), "left", "right"][: int(counted[0][0])]
    named += [side for side in ("left", "right") if only_sides and side not in named]
    named = [side for side in named if side in _ROUND]
    return said.offer(f"seen from {', '.join(named)}") if named else None
