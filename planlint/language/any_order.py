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
    rf"(?: ?(?:inches|inch|in(?! (?:\w+\.)?(?:{SIDE}|face|each|both|every|middle)\b| [0-9])|mm|cm|ft|feet)\b|\"|')?"
    r"(?![\w/]|\.[0-9])"
)
_LENGTH = r"[0-9]+(?:[-. ][0-9]+)?(?:/[0-9]+)?(?: ?(?:inch(?:es)?|in|mm|cm|ft|feet|\"|'))?(?![\w/])"
_FACING = {SIDE_WORDS[at]: SIDE_WORDS[at ^ 1] for at in range(len(SIDE_WORDS))}
MOST_SAID = 200
"""Characters of a line that is looked at: what is longer was not said by a builder. Basis: own judgement."""
MOST_CUT = 40
"""Times that one thing is cut out of a line."""
SEVERAL = "`, `"
"""Between lines that are told within one pair of marks."""
MOST_NAMED = 4
"""Parts alike that are named one by one; more are told in a loop. Basis: own judgement."""
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


def put(what: str, text: str) -> str:
    """A text with others' words put into those of a table of ``grammar/called.toml``, one after another."""
    for theirs, ours in called(what).items():
        text = re.sub(theirs, ours, text, flags=re.IGNORECASE)
    return text


def filled_in(pattern: str) -> str:
    """A pattern in which ``<N>`` stands for a number and ``<S>`` for a side, ``<NO>`` and ``<SIDE>`` for one that is
    not taken over, ``<L>`` for a length, with or without its unit, ``<M>`` for one or its name, ``<WOOD>`` a wood."""
    pattern = (
        pattern.replace("<N>", f"({NUMBER})").replace("<S>", rf"\b({SIDE})\b").replace("<L>", f"({_LENGTH})")
    )
    pattern = pattern.replace("<M>", rf"({_LENGTH}|\([a-z]\w*\))")
    return pattern.replace("<NO>", NUMBER).replace("<SIDE>", SIDE).replace("<WOOD>", called("stock")["wood"])


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
        text = put("words", text)
        text = re.sub(rf"\b({'|'.join(COUNTED)})\b( (?=[0-9]))?", _number, text, flags=re.IGNORECASE)
        self.left = text
        self.filled = False

    def cut(self, *patterns: str) -> re.Match[str] | None:
        """The first that is found of some patterns, taken out."""
        for pattern in patterns:
            found = re.search(filled_in(pattern), self.left, re.IGNORECASE)
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

    def its(self, name: str) -> re.Match[str] | None:
        """The first that is found of the ways to say one thing, lines of the table `ways`, taken out."""
        return self.cut(*called("ways")[name].split("\n"))

    def own(self, name: str) -> str:
        """The first stretch in brackets of one of the ways to say one thing, or nothing."""
        return self.one(*called("ways")[name].split("\n"))

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
        named = self.every("<S>(?: (?:face|side|edge|end)s?)?")
        return list(dict.fromkeys(each[1].lower() for each in named))

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


def singular(name: str) -> str:
    """What several are called by, of one: `shelves`, `boxes`, `legs`."""
    ways = ((each, its) for each, its in called("several").items() if re.search(each, name))
    return next((re.sub(each, its, name) for each, its in ways), name)


def apart(name: str, many: int) -> tuple[str, str]:
    """What so many parts alike are named, and the loop that makes them where they are more than is named one by one."""
    name = singular(name)
    if many > MOST_NAMED:
        return f"{name}_{{n}}", f"for n in 1 to {many}"
    return ", ".join(f"{name}_{n + 1}" for n in range(many)) if many > 1 else name, ""


def opposite(side: str) -> str:
    """The side across from one."""
    return _FACING[side.lower()]


def facing(one: str, other: str) -> bool:
    """Whether two sides face one another."""
    return _FACING[one.lower()] == other.lower()


_ROUND = ("front", "left", "right", "back")


def seen_told(line: str) -> Offer | None:
    """From which sides people look at the piece."""
    said = Said(line)
    said.every(
        r"\b(?:will|can|may|be|people|mostly|mainly|when|used|built|between|2 walls|alcove|niche|stands)\b"
    )
    looked = said.its("looked") is not None
    hidden = said.its("unseen") is None and said.its("hidden") is not None
    if not looked:
        if said.has(r"\b(?:painted shut|built in)\b") or (hidden and not re.search(SIDE, said.left)):
            return said.offer("seen from nowhere")
        if not hidden:
            return None
    every = said.its("all round") is not None or hidden
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
