"""What builders say in words that are near those of the plan language, put into its words where the line then reads.

Nothing is guessed: a line so put must be one that can be read as a whole, and it is told, not taken over in silence.
"""

import re
from collections.abc import Callable, Mapping
from difflib import SequenceMatcher
from typing import Any, NamedTuple

from planlint.language.any_order import SIDE, Offer, seen_told
from planlint.language.join_any_order import OF_JOINS, join_told
from planlint.language.line_repair import Edit, LineRepair, Wrong
from planlint.language.load_any_order import load_told
from planlint.language.misspelt_words import nearest_word
from planlint.language.part_any_order import OF_PARTS, part_told
from planlint.language.stock_in_order import stock_in_order
from planlint.language.vocabulary import first_word

MOST_TIMES = 6
"""Times that one phrase is put right in a line: as many as there are sides. Basis: our own judgement."""

_ALIKE = 0.7
"""Likeness of two words from which the one is the other misspelt. Basis: our own judgement."""

_LONGEST = 200
"""Characters of a line that is looked at: what is longer was not said by a builder. Basis: our own judgement."""


_LENGTH = r"[0-9]+(?:[-. ][0-9]+)?(?:/[0-9]+)?(?: ?(?:inch|in|mm|cm|ft|\"|'))?(?![\w/])"
_Ours = str | Callable[[re.Match[str]], str]


class _Phrase(NamedTuple):
    """Words of another's, where they may stand (the kinds of line, or the first word of one), and the plan's."""

    places: frozenset[str]
    theirs: re.Pattern[str]
    ours: _Ours


def _phrases(places: str, *pairs: tuple[str, _Ours]) -> list[_Phrase]:
    """``<L>`` and ``<S>`` stand for a length and a side that is taken over, ``<SIDE>`` for one that is not."""
    made = []
    for theirs, ours in pairs:
        pattern = theirs.replace("<L>", f"({_LENGTH})").replace("<S>", f"({SIDE})").replace("<SIDE>", SIDE)
        made.append(_Phrase(frozenset(places.split()), re.compile(pattern, re.IGNORECASE), ours))
    return made


def _in_brackets(found: re.Match[str]) -> str:
    names = re.findall(r"\w+", re.sub(r"[=:][^,;]*|\band\b", "", found[2]))
    return f"assembly {found[1]}({', '.join(names)})" if names else found[0]


# fmt: off
_PHRASES = [
    *_phrases("top",
        (r"^(?:plan|title|project|name|piece) ?[:=-]? ?(?=\")", "plan "),
        (r"^accept \"([a-z]+(?:[- ][a-z]+)*)\"", r"accept \1"),
        (r"^(accept .* because) ?[:=-] ?(?=\")", r"\1 "),
        (r"^plan ?[:=] ?([^\"]+)$", r'plan "\1"'),
        (r"^(?:const |var |set |define )?(\w+) ?(?:=|:=|\b(?:is|equals)\b) ?(?=[0-9(])", r"let \1 = "),
    ),
    *_phrases("plan part join load",
        (r"^([a-z]+(?: [a-z]+)?) ?[:=] ?(?=[\w\"])", r"\1 "),
    ),
    *_phrases("plan",
        (r"^(?:[^0-9]*[ :=.])?(?:metric|millimet(?:re|er)s?|mm)\b[^0-9]*$", "unit mm"),
        (r"^(?:[^0-9]*[ :=])?(?:centimet(?:re|er)s?|cm)\b[^0-9]*$", "unit cm"),
        (r"^(?!.*\bscrew)(?:[^0-9]*[ :=])?(?:imperial|inch(?:es)?|in\.?$)(?:\W[^0-9]*)?$", "unit inch"),
        (r"^.*\b(?:eyes?|eye-?(?:height|level)|view(?:er|ing)\w*|person|observer)\b[^0-9]*"
         r"([0-9][^a-z]*(?:[a-z]{2,4}\b[0-9./ -]*(?:in)?)?).*$", r"eye height \1"),
        (r"^.*\b(stainless|bronze|coated)\b.*$", r"screws \1"),
        (r"^.*\b(?:galv|hot[- ]dip)\w*.*$", "screws galvanized"),
        (r"^.*\b(bunk|loft)s?\b(?:[^0-9]*mattress[^0-9]*<L>.*|.*?<L> .*mattress.*)$",
         lambda of: f"use as {of[1]} bed, mattress {of[2] or of[3]} thick"),
        (r"^(?!use as [a-z]+ bed).*\b(bunk|loft)s?\b[^0-9]*$", r"use as \1 bed"),
        (r"^.*\b(?:crib|cot)\b.*$", "use as crib"),
        (r"^.*\b(stair )?(?:guard|railing|balustrade).*$", lambda of: f"use as {of[1] or ''}guard"),
        (r"^.*\b(?:kids?|child(?:ren)?|toddlers?|nursery)\b.*$", "for children"),
    ),
    *_phrases("any",
        (r"\b([a-z]+)(?: \1\b)+", r"\1"),
        (r"([,+]) ?\1", r"\1"),
        (r"(?<!towards )\bthe (?!middle third)(?![^\"]*\"$)", ""),
        (r" ?@ ?", " at "),
        (r"\b(in|ft|mm|cm)\.(?=[ ,]|$)", r"\1"),
        (r" ?:$", ""),
        (r"([0-9])' ?- ?(?=[0-9])", r"\1' "),
        (r"\b(sin|cos|tan|sqrt) ([0-9.]+)", r"\1(\2)"),
        (r"\b(min|max|hypot)(?:\(| \(?)([\w./]+)(?:,| and|) ([\w./]+)\)?", r"\1(\2, \3)"),
        (r"(?<=[\w)\"']) ?(?:minus|less|−) ?(?=[\w(])", " - "),
        (r"(?<=[\w)\"']) ?(?:÷|divided by|over) ?(?=[\w(])", " / "),
        (r"(?<=[\w)\"']) plus (?=[\w(])", " + "),
        (r"(?<=[\w)\"']) ?(?:times|·) ?(?=[\w(])", " * "),
        (r"(\b[\w.]+|\([^()]*\))(?:²| ?(?:\^|\*\*) ?2\b| squared\b)", r"\1 * \1"),
        (r"\b([0-9]+) (?:and|&) ([0-9]+/[0-9]+)", r"\1-\2"),
        (r"\b([0-9]+)ft([0-9/.-]+)in\b", r"\1 ft \2 in"),
        (r"\b(left|front|top)(?:[- ]to[- ]|[-/])(right|back|bottom)\b", r"\1 to \2"),
    ),
    *_phrases("let",
        (r"^let (\w+) ?(?:be |is |of |: ?|==+ ?|:= ?)(?=[0-9(])", r"let \1 = "),
        (r"(?<=[0-9a-z)]) ?[x×] ?(?=[0-9(])", " * "),
        (r"(?<=[-+*/] )([0-9]+) (?=(?!in|f|m|c)[a-z])", r"\1 * "),
        (r"([0-9])(?=\()|(?<![\w/.])([0-9]+)(?=(?!(?:mm|cm|m|in|inch|inches|ft|foot|feet)\b)[a-z])", r"\1\2 * "),
        (r"\bhalf (?:of )?(\w+|\([^()]*\))", r"\1 / 2"),
    ),
    *_phrases("part stock assembly place join let load", (r'(?<![0-9])"([^"]*)"', r"\1")),
    *_phrases("mirror", (r"^mirror (\w+) (?:as|to|into) (\w+)$", r"part \2 mirrors \1")),
    *_phrases("part",
        (r"^(part [^,]*(?:, [^,]*)*?)(?:,? and |/)(\w+ (?:of|like|mirrors) )", r"\1, \2"),
        (r"^(part \w+(?:, \w+)*), ([0-9].*), (of \w+)", r"\1 \3, \2"),
        (r"^part ([a-z]*[a-rt-z]) ([0-9]+) of ", r"part \1_\2 of "),
        (r"^(part \w+(?:, \w+)*) ?= ?(?=\w+$)", r"\1 like "),
        (r",? (?:with|and)(?: all)?(?: its| of its)? join(?:t)?s$", ", with its joins"),
        (r"^(part .*(?:mirrors|like) \w+),? (?:with|and)(?: all)?(?: its| of its)? (?:cut|hole|groove|dado|"
         r"notche)s$", r"\1"),
        (r"^(part \w+(?:, \w+)*)(?: is| are)?(?: a| an)? (?:same as|copy(?: of)?|copies|identical to|like|as) ",
         r"\1 like "),
        (r"^(part \w+)(?: is| =)?(?: an?)? (?:mirror(?:ed|s)?(?: image)?(?: of| from)?|flipped) (?!image|of )",
         r"\1 mirrors "),
        (r"\bw/ ?(?=[a-z])", "with "),
        (r"^(?:growth|annual) (?=rings)|(?<=^rings) fac(?:e|ing)\b", ""),
        (r"^(part .*like \w+),? (?:but|only|except|with) (?!its)", r"\1, "),
        (r"\b(?:rotated?|swung|tilted|turn) (?=[0-9-])", "turned "),
        (r"^turned ([0-9.]+)(?: degrees)? clockwise (?=about vertical)", r"turned -\1 "),
        (r"^in-line with\b", "in line with"),
        (r"^in line with <S> of (\w+)$", r"in line with \2.\1"),
        (r"^(?:an? )?(?:gap |spaced? )?(?:of |by )?<L>(?: gap| space| away)?,? (?:to|from|off) "
         r"(?!(?:<SIDE>|floor|ground|wall)$)",
         r"gap \1 to "),
        (r"^gap (?:to|from|off) ([^ ,]+),? (?:of |by |is )?<L>$", r"gap \2 to \1"),
        (r"^(?:hung|hangs?|hanging)(?: with(?: its)? bottom)?(?: at)? <L>(?: (?:from|off|above) floor| high| up)?$",
         r"hung with bottom at \1"),
    ),
    *_phrases("join",
        (r"^(?:(?:as|with|and|wood|yellow|pva|clamp(?:ed)?) )*(?:glued?|pva|epox(?:y|ied))"
         r"(?: up| on| together| only| joint|,? (?:and |no )?clamp(?:ed|s)?(?: .*)?| with .*)*$",
         "glued"),
        (r"^(?:slots|(?:slotted|elongated) (?:holes|slots))(?: in <SIDE>| for .*)?$|^allow(?:s|ed)? for movement$",
         "slotted"),
        (r",? (?:just )?(?:same as|as|like join|identical to) (?=\w+\.\w+(?:/\S+)?$)", " like "),
    ),
    *_phrases("for loop repeat foreach do",
        (r"^for (\w+) in range ?\((\w+)\)$", r"for \1 in 1 to \2"),
        (r"^(?:for|loop|repeat|foreach|do) (?:(?:each|every|all|for|over) )*(\w+),? ?(?:=|in|from|:)? ?\(?(\w+) ?"
         r"(?:\.\.+|…|[-:,]|(?:up ?)?to\b|through|thru|un?till?)(?:[0-9 ,]*(?=,))? ?,? ?([\w+* -]+?)\)?(?: do)?$",
         r"for \1 in \2 to \3"),
        (r"\b(\w+)-(?=[0-9]+$)", r"\1 - "),
    ),
    *_phrases("ignore allow waive suppress", (r"^\w+ (?=\S+ (?:on|here)\b)", "accept ")),
    *_phrases("accept",
        (r"^accept ([a-z-]+) (?!on |here|at |for |in )([a-z]+) ", r"accept \1-\2 "),
        (r"^accept ([a-z-]+) (?:at|for|in) ", r"accept \1 on "),
        (r"^(accept \S+ on \S+?) ?(?:because|-|:|,|as|since) ([^\"]+)$", r'\1 because "\2"'),
    ),
    *_phrases("place put insert add",
        (r"^\w+ (\w+) of (\w+)", r"place \2 as \1"),
        (r"^\w+(?: an?)? (?!(?:and|two)\b)(\w+?),? (?:(?:as|named|called) )?(?!as\b|mirrored|and\b|twice\b)(?=\w+)",
         r"place \1 as "),
        (r"^place (\w+?)(_?\{\w+\})$", r"place \1 as \1\2"),
        (r"^(place \w+ as \w+),? ?(?:with|using|[(:]) ?", r"\1, "),
        (r"(?<=[a-z]) ?[=:] ?(?=\w)", " "),
        (r"(?<!,) (?:and )?(?=[a-z]\w* [0-9])|, and (?=[a-z])", ", "),
        (r"(?<=[0-9])\)$", ""),
        (r"<L> (wide|long|deep|high|thick)\b", r"\2 \1"),
    ),
    *_phrases("assembly module",
        (r"^\w+ (\w+)(?: ?[(\[:{]| (?:with|takes|of)\b|(?= ))(.*?)[)\]}:]*$", _in_brackets),
    ),
    *_phrases("use include import from",
        (r"(?<![\w\"/.])([\w./-]+\.plan)\b(?!\")", r'"\1"'),
        (r"^\w+ (?:(?:stock|all|everything) from )?(?=\")", "use "),
        (r"^\w+ ([\w, ]+?),? from (\"[^\"]+\")$", r"use \2 for \1"),
    ),
]
# fmt: on


def rephrased(repair: LineRepair, *, slips: bool = False) -> Any:
    """The node of a line once it is put into the plan's words, which is told then; ``None`` where none comes of it.
    One word that is another is told at its place: only if nothing came of that, of the line with its ``slips``."""
    if len(repair.text) > _LONGEST:
        return None
    first = first_word(repair.text).lower().rstrip(":,")
    places = {"any", repair.place} if repair.place in {"plan", "part", "join"} else {"any", "top", first}
    whole = len(repair.text)
    for offer in _offers(repair, first):
        told = offer.sure and (slips or not _one_slip(repair.text, offer.text))
        if told and (node := _taken(repair, offer.text, whole)) is not None:
            return node
    for phrase in _PHRASES:
        for _ in range(MOST_TIMES if phrase.places & places else 0):
            found = phrase.theirs.search(repair.text)
            instead = found and (phrase.ours(found) if callable(phrase.ours) else found.expand(phrase.ours))
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
    repair.wrongs.append(Wrong(0, whole, f"say `{text}`"))
    return repair.move(node)


_LOOPED = re.compile(
    r"((?:part|place|put|join) .*?),? for (?:each |every )?(\w+) ?(?:in|from|=) ?(\w+) ?(?:to|\.\.+|-) ?(\w+)(?:,? .*)?"
)
"""A line with its loop behind it."""


def such_as(repair: LineRepair, most_left: int) -> str | None:
    """What to say of a line that is understood but for what it leaves out, and so many words at the most; or of one
    that tells several details of a join, or what is repeated."""
    looped = _LOOPED.fullmatch(repair.text)
    if looped is not None:
        line, n, first, last = looped.groups()
        line = _readable(repair, line) or line
        loop = f"`for {n} in {first} to {last}`"
        return f"lines that are repeated stand under a loop: {loop}, and `{line}` indented under it"
    offers = sorted(_offers(repair, first_word(repair.text)), key=lambda each: each.left)
    told = _several(repair) if repair.place in {"join", "part"} and (not offers or offers[0].left) else None
    if told is not None:
        return f"each of these has a line of its own: {', '.join(f'`{line}`' for line in told)}"
    for offer in offers:
        if offer.left <= most_left and repair.reads(offer.text):
            if offer.beside and not repair.place:
                return (
                    "what holds a join, and where it sits, stands on lines of their own, indented under "
                    f"`{offer.text}`: `{offer.beside}`"
                )
            if offer.beside:
                return f"each of these has a line of its own: `{offer.text}`, `{offer.beside}`"
            if " every " in offer.text and " from " not in repair.text:
                return f"say where the first and the last lie, such as `{offer.text}`"
            lost = f"; `{offer.lost}` has no place in it" * bool(offer.lost)
            return f"say such as `{offer.text}`{lost}{_OF_SCREWS * bool(re.search(_COATS, offer.lost))}"
    return None


_COATS = r"\b(?:exterior|outdoor|coated|stainless|galv|zinc|brass|bronze)"
_OF_SCREWS = ": what screws are made of is said once, under `plan`, such as `screws coated`"


_BESIDE = re.compile(
    r"(?:,|;|\band\b|&|\+| )+"
    r"(?=(?:flush|even|set ?back|proud|glued?|[0-9]* ?pockets?|(?<![0-9] )screws|centred|as|"
    r"[0-9.]+\S* (?:from|proud|back))\b)",
    re.IGNORECASE,
)
"""Where another detail of a join begins in the same line."""
_BETWEEN = re.compile(r" ?(?:,|;|\band\b|&|\+) ?")


def _several(repair: LineRepair) -> list[str] | None:
    """The details of which a line tells several, each in the plan's words: `proud 1 at front and 2 at left` too."""
    if re.search(r"(?:\bat|@) ?[0-9][^a-z]*(?:,|and|&)", repair.text):  # `at 1, 3 from top` is one detail
        return None
    for between in (_BESIDE, _BETWEEN) if repair.place == "join" else (_BETWEEN,):
        pieces = [piece for each in between.split(repair.text) if (piece := each.strip(" ,"))]
        lines: list[str] = []
        words: list[str] = []
        for piece in pieces if 1 < len(pieces) <= MOST_TIMES else ():
            for kept in (0, *range(len(words) - 1, 0, -1)):
                whole = " ".join([*words[:kept], piece])
                if line := _readable(repair, whole):
                    lines, words = [*lines, line], whole.split()
                    break
            else:
                break
        if pieces and len(lines) == len(pieces):  # `dowel joint, 2 dowels 3/8 x 2` tells one thing
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


def _offers(repair: LineRepair, first: str) -> list[Offer]:
    """What the line may be, each of its details looked for by itself, in whatever order."""
    if len(repair.text) > _LONGEST or any(each.isspace() and each not in " \t" for each in repair.text):
        return []
    if first == "stock":
        return [*stock_in_order(repair.text)]
    near = nearest_word(first, [*OF_FIRST])[0] if len(first) > 2 else None
    ways = OF_PLACE.get(repair.place, OF_FIRST.get(near or first, (load_told,)))
    found = [each(repair.text) for each in ways]
    return [offer for offer in found if offer is not None and offer.text]


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
