"""What a builder may say that needs more than a line put in order: one wish, told once, with the line that says it.

The ways to say one, and what is told then, stand in ``grammar/wishes.toml``.
"""

import re
import tomllib
from functools import cache
from typing import NamedTuple

from planlint.language.guesses import any_of
from planlint.language.line_repair import Wrong
from planlint.language.vocabulary import SIDE_WORDS, SPANS
from planlint.text.resources import resource

_STRETCHES = {
    "<L>": r"([0-9][0-9/. -]*(?:\"|'| ?(?:in|inch|inches|ft|mm|cm))?)",
    "<S>": f"({'|'.join(SIDE_WORDS)})",
    "<SIDE>": f"(?:{'|'.join(SIDE_WORDS)})",
}

EVERY_WAY = any_of([f"`centred {way}`" for way in SPANS])


class _Pattern(NamedTuple):
    """Under which lines it stands, how it is written, as a whole, what to say, and for a stretch that is not there."""

    under: frozenset[str]
    written: re.Pattern[str]
    says: str
    stands: str


@cache
def _wishes() -> tuple[_Pattern, ...]:
    told = tomllib.loads(resource("grammar", "wishes.toml").read_text(encoding="utf-8"))["wish"]
    made = []
    for each in told:
        written = "|".join(each["written"])
        for name, stretch in _STRETCHES.items():
            written = written.replace(name, stretch)
        under = frozenset(each["under"].split() or ("", "for", "assembly"))
        pattern = re.compile(rf"(?:{written})[.!]?$", re.IGNORECASE)
        made.append(_Pattern(under, pattern, each["says"], each.get("stands", "")))
    return tuple(made)


def wish(line: str, place: str) -> Wrong | None:
    """What to say of a line that means one thing, but in words of another's; ``None`` where it is not known. All of it
    is marked, but for a slip in a sum."""
    words = " ".join(line.split())
    if place in {"part", "join"}:
        words = re.sub(r"^(?:(?:with |w/ ?|use |using |add |install )(?:an? )?)+", "", words)
    for under, written, says, stands in _wishes():
        if place in under:
            found = written.match(words)
            if found is not None:
                slip = found.groupdict().get("slip") if words == line else None
                start, end = found.span("slip") if slip else (0, len(line))
                return Wrong(
                    start, end, says.format("", *((part or stands).rstrip() for part in found.groups()))
                )
    behind = re.match(r"join \S+ to \S+?(?:,? as|,? with|,)? (.+)", words)
    wished = wish(behind[1], "join") if behind is not None else None
    return wished and Wrong(0, len(line), wished.says)
