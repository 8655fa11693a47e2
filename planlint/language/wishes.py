"""What a builder may say that needs more than a line put in order: one wish, told once, with the line that says it.

The ways to say one, and what is told then, stand in ``grammar/wishes.toml``; what is said of a word of the trade, where
no wish fits, in ``grammar/topics.toml``.
"""

import re
import tomllib
from functools import cache
from typing import NamedTuple

from planlint.language.any_order import NUMBER, SIDE, Said, filled_in
from planlint.language.line_repair import Wrong
from planlint.language.vocabulary import FIRST_WORDS
from planlint.text.resources import resource

_LOOSE = rf"(?!(?:{'|'.join(FIRST_WORDS[''])})\b)"
_OWN = {
    "N": rf"({NUMBER})(?! (?:\w+ )?(?:hole|screw|pocket|nail|dowel|bolt|board|clip)s\b| of them\b)",
    "S": f"(?<!set )({SIDE})",
    "C": r"(?<![\w/.-])(?<!x )([1-9][0-9]{0,2})(?![\w/.\"'-]| ?(?:in|inch|[cm]m|x|deg\w*)\b| ?°)",
    "D": rf"({NUMBER}) ?(?:dia(?:meter)?|round|wide)\b",
    "P": rf"({NUMBER}) deep\b",
    "U": rf"({NUMBER}) (?:up|high|from (?:the )?bottom)\b",
    "F": rf"({NUMBER} from {SIDE})\b",
    "A": r"(?<![\w/.])([0-9.]+) ?(?:deg(?:rees?)?\b|°)",
}
"""What of a line's own stands in what is told of it: a length, side, count, diameter, depth, place or angle."""

_AT_MARGIN = dict.fromkeys(("", "for", "assembly"), "margin")


class Anywhere(str):
    """What is told of a line in whatever place: it says itself where what is meant is said, or that it is not said."""

    __slots__ = ()


class _Pattern(NamedTuple):
    """Under which lines it stands, how it is written, as a whole or in its words, and what to say."""

    under: frozenset[str]
    written: re.Pattern[str]
    says: str
    stands: str
    """What is said for a stretch that is not there."""
    aside: bool
    """Whether it may be only beside what else a line says."""
    anywhere: bool


@cache
def _patterns(table: str) -> tuple[_Pattern, ...]:
    [told] = tomllib.loads(resource("grammar", table).read_text(encoding="utf-8")).values()
    made = []
    for each in told:
        written = "|".join(each.get("written") or each["words"])
        written = filled_in(written.replace("<LOOSE>", _LOOSE).replace("<WOOD>", "(<WOOD>)"))
        written = rf"^(?:{written})[.!]?$" if "written" in each else rf"(?<![\w-])(?:{written})(?![\w-])"
        under = frozenset(each["under"].split())
        pattern = re.compile(written, re.IGNORECASE)
        how = (each.get("aside", False), each.get("anywhere", False))
        made.append(_Pattern(under, pattern, each["says"], each.get("stands", ""), *how))
    return tuple(made)


def wish(line: str, place: str) -> Wrong | None:
    """What to say of a line that means one thing, but in words of another's; ``None`` where it is not known. All of it
    is marked, but for a slip in a sum."""
    words = " ".join(line.split())
    if place in {"part", "join"}:
        words = re.sub(r"^(?:(?:with |w/ ?|use |using |add |install )(?:an? )?)+", "", words)
    for each in _patterns("wishes.toml"):
        found = each.written.match(words) if _AT_MARGIN.get(place, place) in each.under else None
        if found is not None:
            slip = found.groupdict().get("slip") if words == line else None
            start, end = found.span("slip") if slip else (0, len(line))
            return Wrong(start, end, _taken_over(each, found, line))
    behind = re.match(r"join \S+ to \S+?(?:,? as|,? with|,)? (.+)", words)
    wished = wish(behind[1], "join") if behind is not None else None
    return wished and Wrong(0, len(line), wished.says)


def topic(line: str, place: str, *, aside: bool = False, of: str = "") -> str | None:
    """What is said, or cannot be said, under a line of what some line is about, by the words of the trade in it: the
    topic of which most stands there. ``aside``: of what may be only beside what else it says, too; ``of``: just by
    words that hold one of these. The name of a let is no such word."""
    line = re.sub(r"^let \w+ ?=(?=[^,=]*$)", "", line)
    place = _AT_MARGIN.get(place, place)
    best, most = None, 0
    for each in _patterns("topics.toml"):
        found = [*each.written.finditer(line)] if place in each.under and each.aside <= aside else []
        words = " ".join(one[0] for one in found)
        own = {*words.lower().split()} & {*of.lower().split()}
        if len(words) > most and (not of or own):
            best, most = (each, found[0]), len(words)
    return _taken_over(*best, line) if best is not None else None


def _taken_over(of: _Pattern, found: re.Match[str], line: str) -> str:
    """What a pattern says of a line, with the stretches of it that it takes over."""
    taken = ((part or of.stands).rstrip() for part in found.groups())
    says = with_its_own(of.says, line).format("", *taken, M=found[0])
    return Anywhere(says) if of.anywhere else says


def with_its_own(says: str, line: str) -> str:
    """What is said with what a line tells of lengths, sides and counts in it."""
    said = Said(line)
    last: dict[str, str] = {}

    def own(slot: re.Match[str]) -> str:
        what, otherwise = slot.groups()
        if otherwise is not None:
            last[what] = said.one(_OWN[what]).lower() or otherwise
        return last[what]

    return re.sub(r"\{([ACDFNPSU])(?::([^}]*))?\}", own, says)
