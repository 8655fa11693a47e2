"""What builders say in words that are near those of the plan language, put into its words where the line then reads.

Nothing is guessed: a line so put must be one that can be read as a whole, and it is told, not taken over in silence.
"""

import re
import tomllib
from collections.abc import Callable, Mapping
from difflib import SequenceMatcher
from functools import cache
from typing import Any, NamedTuple

from planlint.language.any_order import MOST_SAID, SEVERAL, Offer, called, filled_in, seen_told
from planlint.language.board_listed import board_told
from planlint.language.join_any_order import OF_JOINS, join_told
from planlint.language.line_repair import Edit, LineRepair, Wrong, say
from planlint.language.load_any_order import load_told
from planlint.language.misspelt_words import nearest_word
from planlint.language.part_any_order import OF_PARTS, part_told
from planlint.language.stock_in_order import stock_in_order
from planlint.language.vocabulary import first_word
from planlint.language.wishes import topic
from planlint.text.resources import resource

MOST_TIMES = 6
"""Times that one phrase is put right in a line: as many as there are sides. Basis: our own judgement."""

_ALIKE = 0.7
"""Likeness of two words from which the one is the other misspelt. Basis: our own judgement."""


class _Phrase(NamedTuple):
    """Words of another's, where they may stand (the kinds of line, or the first word of one), and the plan's."""

    places: frozenset[str]
    theirs: re.Pattern[str]
    ours: str


@cache
def _phrases() -> tuple[_Phrase, ...]:
    """The phrases of ``grammar/phrases.toml``."""
    told = tomllib.loads(resource("grammar", "phrases.toml").read_text(encoding="utf-8"))["phrase"]
    made = []
    for each in told:
        for theirs, ours in each["pairs"]:
            pattern = re.compile(filled_in(theirs), re.IGNORECASE)
            made.append(_Phrase(frozenset(each["where"].split()), pattern, ours))
    return tuple(made)


def _put(phrase: _Phrase, found: re.Match[str]) -> str:
    """What a stretch of a line becomes; ``in brackets`` go an assembly's measures, without what they say of them."""
    if phrase.ours != "in brackets":
        return found.expand(phrase.ours)
    names = re.findall(r"\w+", re.sub(r"[=:][^,;]*|\band\b", "", found[2]))
    return f"assembly {found[1]}({', '.join(names)})" if names else found[0]


def rephrased(repair: LineRepair, *, slips: bool = False) -> Any:
    """The node of a line once it is put into the plan's words, which is told then; ``None`` where none comes of it.
    One word that is another is told at its place: only if nothing came of that, of the line with its ``slips``."""
    if len(repair.text) > MOST_SAID:
        return None
    first = first_word(repair.text).lower().rstrip(":,")
    places = {"any", repair.place} if repair.place in {"plan", "part", "join"} else {"any", "top", first}
    whole = len(repair.text)
    for offer in _offers(repair, first):
        if offer.sure and not slips and _one_slip(repair.text, offer.text):
            break
        if offer.sure and (node := _taken(repair, offer.text, whole)) is not None:
            return node
    for phrase in _phrases():
        for _ in range(MOST_TIMES if phrase.places & places else 0):
            found = phrase.theirs.search(repair.text)
            instead = found and _put(phrase, found)
            if found is None or instead is None or instead == found[0]:
                break
            repair.apply(Edit(found.start(), found.end(), instead, "", (0, 0)))
            if (node := _taken(repair, repair.text, whole)) is not None:
                return node
    return None


def _taken(repair: LineRepair, text: str, whole: int) -> Any:
    """The node of a line so put, which is told; ``None`` where it does not read. ``whole`` is how long the line was."""
    node, _trouble = repair.attempt(text)
    if not repair.stands(node):
        return None
    if text != repair.text:
        repair.apply(Edit(0, whole, text, "", (0, 0)))
    repair.wrongs.append(Wrong(0, whole, say(text)))
    return repair.move(node)


def such_as(repair: LineRepair, most_left: int) -> str | None:
    """What to say of a line that is understood but for what it leaves out, and so many words at the most; or of one
    that tells several details of a join, or what is repeated."""
    looped = re.fullmatch(called("line")["looped"], repair.text)
    if looped is not None:
        line, n, first, last = looped.groups()
        line = _readable(repair, line) or line
        loop = f"`for {n} in {first} to {last}`"
        return f"lines that are repeated stand under a loop: {loop}, and `{line}` indented under it"
    offers = sorted(_offers(repair, first_word(repair.text)), key=lambda each: each.left)
    told = _several(repair) if repair.place in {"join", "part"} and (not offers or offers[0].left) else None
    if told is not None:
        return say(*told)
    for offer in offers:
        if offer.left <= most_left and not _DENIED.search(offer.lost) and repair.reads(offer.text):
            lost = offer.lost * (not offer.text.startswith("part "))
            if lost and (about := topic(repair.text, repair.place, of=lost)):
                return about
            if offer.beside and (says := called("beside").get(first_word(offer.text))):
                return says.format(f"`{offer.text}`", f"`{offer.beside}`")
            if offer.beside:
                return say(offer.text, *offer.beside.split(SEVERAL), sure=False)
            if " every " in offer.text and " from " not in repair.text:
                return say(offer.text, sure=False, lead="say where the first and the last lie, such as ")
            also = _or_through(repair.text, offer.text)
            return say(offer.text, sure=False, more=f"{also}{_no_place(repair, offer)}")
    return None


def _or_through(line: str, ours: str) -> str:
    """The other way to say screws of which it is not told whether they sit in pockets."""
    where = re.fullmatch(r"pockets (.*) in (?:\w+\.)?\w+(, plugged)?", ours)
    told = where and f" or, through a face, `screws {where[1]} through side, gauge 8, 2 long{where[2] or ''}`"
    return told if told and "pocket" not in line.lower() else ""


def _no_place(repair: LineRepair, offer: Offer) -> str:
    """What is left over of a line, but for what parts are called by, and what is said of it, if that is known."""
    of_part = offer.text.startswith("part ")
    lost = re.sub(called("nouns")["pieces"] * bool(repair.place), "", offer.lost).strip()
    about = topic(lost if of_part else repair.text, "part" if of_part else repair.place, aside=True, of=lost)
    about = about if lost else None
    return f"; {about}" if about else f"; `{lost}` has no place in it" * bool(lost)


_DENIED = re.compile(r"\b(?:no|not|none|never|without|instead)\b", re.IGNORECASE)


_BESIDE = re.compile(called("line")["beside"], re.IGNORECASE)
"""Where another detail of a join begins in the same line."""
_BETWEEN = re.compile(r" ?(?:,|;|\band\b|&|\+) ?")


def _several(repair: LineRepair) -> list[str] | None:
    """The details of which a line tells several, each in the plan's words: `proud 1 at front and 2 at left` too."""
    if re.search(called("line")["one detail"], repair.text):  # `at 1, 3 from top`
        return None
    head, _, tail = repair.text.rpartition(",")
    if tail.strip() and repair.reads(head) and (last := _readable(repair, tail.strip())):
        return [head, last]
    for between in (_BESIDE, _BETWEEN) if repair.place == "join" else (_BETWEEN,):
        pieces = [piece for each in between.split(repair.text) if (piece := each.strip(" ,"))]
        lines: list[str] = []
        words: list[str] = []
        for piece in pieces if 1 < len(pieces) <= MOST_TIMES else ():
            for kept in (0, *range(len(words), 0, -1)):
                whole = " ".join([*words[:kept], piece])
                if line := _readable(repair, whole):
                    more = kept == len(words) > 0 and first_word(line) == first_word(lines[-1])
                    lines, words = [*lines[: len(lines) - more], line], whole.split()
                    break
            else:
                break
        if pieces and len(lines) == len(pieces):  # `dowel joint, 2 dowels 3/8 x 2` tells one thing
            lines = list(dict.fromkeys(lines))
            own = [one for one in lines if not any(other != one and other.startswith(one) for other in lines)]
            return own if len(own) > 1 else None
    return None


def _readable(repair: LineRepair, line: str) -> str:
    """One detail in the plan's words, or nothing."""
    alone = LineRepair(line, repair.place, repair.tools)
    if alone.reads(line):
        return line
    if rephrased(alone) is not None:
        return alone.text
    offers = (each.text for each in _offers(alone, first_word(line)) if not each.left and not each.beside)
    return next(filter(alone.reads, offers), "")


_A_SUM = re.compile(called("line")["sum"])
_SUM = "97531"
"""What stands for a sum while a line is understood piece by piece: a number larger than any of the line's own."""


def _offers(repair: LineRepair, first: str) -> list[Offer]:
    """What the line may be, each of its details looked for by itself, in whatever order."""
    if len(repair.text) > MOST_SAID or any(each.isspace() and each not in " \t" for each in repair.text):
        return []
    if first == "stock":
        return [*stock_in_order(repair.text)]
    near = nearest_word(first, [*OF_FIRST])[0] if len(first) > 2 else None
    ways = OF_PLACE.get(repair.place, OF_FIRST.get(near or first, (load_told, part_told, board_told)))
    sums = [each[0] for each in _A_SUM.finditer(repair.text)] if repair.place != "plan" else []
    line = repair.text
    for at, each in enumerate(sums):
        line = line.replace(each, f"{_SUM}{at}", 1)
    found = [offer for each in ways if (offer := each(line)) is not None and offer.text]
    for at, each in enumerate(sums):
        stands = f"{_SUM}{at}"
        back = [(offer.text.replace(stands, each), offer.lost.replace(stands, each)) for offer in found]
        found = [one._replace(text=text, lost=lost) for one, (text, lost) in zip(found, back, strict=True)]
    return found


def _one_slip(line: str, ours: str) -> bool:
    """Whether just one word of a line is another one: that is told at its place."""
    theirs, words = line.replace(",", " ").split(), ours.replace(",", " ").split()
    other = [(a, b) for a, b in zip(theirs, words, strict=False) if a != b]
    if len(theirs) != len(words) or len(other) != 1:
        return False
    return SequenceMatcher(None, *other[0]).ratio() >= _ALIKE or theirs[:1] == ["facing"]


_Ways = Mapping[str, tuple[Callable[[str], Offer | None], ...]]
OF_PLACE: _Ways = {"join": OF_JOINS, "part": OF_PARTS, "plan": (seen_told,)}
OF_FIRST: _Ways = {"part": (part_told,), **dict.fromkeys(("join", "connect", "attach"), (join_told,))}
"""By what a line stands under, and by its first word."""
