"""What is wrong with a line that cannot be parsed, in a builder's words, and how to go on behind it.

A line that fails is mended in its text and parsed again: a misspelt word is put right, a missing one put in,
as long as that brings the parser further. So every mistake of a line is found, one mistake is told once, and
a line whose meaning is beyond doubt is still read. All of this runs only for broken lines.
"""

import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from planlint.language.any_order import MANY_LEFT, called
from planlint.language.complaints import complaint, strange_first_word
from planlint.language.grammar_cache import Tools
from planlint.language.guesses import best_edit
from planlint.language.indentation import BELONGS, Indented
from planlint.language.line_repair import Edit, LineRepair, ParserStop, Say, Telling, Wrong, say
from planlint.language.misspelt_words import BEYOND_DOUBT, misspelt, nearest_word, spelt_out
from planlint.language.odd_characters import odd_character, odd_in
from planlint.language.rephrasing import rephrased, such_as
from planlint.language.stock_in_order import stock_in_order
from planlint.language.vocabulary import FIRST_WORDS, first_word
from planlint.language.wishes import Anywhere, topic, wish

_FILLERS, _REASON, _BETWEEN = (
    re.compile(called("line")[each], re.IGNORECASE) for each in ("fillers", "reason", "between")
)
"""Words that say nothing, and are not names; why something is done, or when; where another thing may begin."""
_BARE = str.maketrans("", "", " ,")
OF_A_KIND = ("join", "part", "plan")
"""What details are of."""
MOST_IN_A_LINE = 12
"""Mistakes looked for in one line. Basis: own judgement."""
MOST_PIECES = 4
"""Things that one line says of a part or join, each told by itself. Basis: own judgement."""
MOST_LEFT = 2
"""Words of a line that may be left over where what it means is told by the rest. Basis: own judgement."""

_LISTS = frozenset({"stock", "part", "load", "join", "place"})
"""First words of lines of which one slip is told at its place, and only more of them by the whole line."""


class Mended(NamedTuple):
    """What came of a broken line: a node if its meaning is beyond doubt, and what is wrong with it."""

    node: Any
    wrongs: list[Wrong]
    terms: str = ""
    """The line as it was understood, where that is in other words."""


class Guess(NamedTuple):
    """The first mending of a line that nothing has borne out yet: what was told up to it, and where it was made."""

    told: int
    shifts: int
    text: str
    trouble: ParserStop
    telling: Telling = Telling.VAGUE


def mended_line(line: str, above: Indented, tools: Tools) -> Mended:
    """Mends a line that did not parse. ``above`` is what it stands under, with what is read there so far. Characters of
    other keyboards are put into the plan's first, so that what else is meant is not lost for them."""
    odd = odd_in(line)
    if not odd:
        made = _mend(line, above, tools)
        detail = above.kind in OF_A_KIND
        bare = spelt_out(_FILLERS.sub("", line), above.kind) if detail else _FILLERS.sub("", line)
        told = not detail and any(each.telling for each in made.wrongs)
        if bare == line or made.node is not None or told:
            return made
        sound = LineRepair(bare, above.kind, tools).reads(bare)
        rest = [] if sound else _mend(bare, above, tools).wrongs
        stumbled = _FILLERS.match(line[made.wrongs[0].start :])
        if len(rest) > 1 or (rest and not rest[0].telling and not stumbled):
            return made
        return Mended(None, [Wrong(0, len(line), rest[0].says if rest else say(bare))])
    plain = LineRepair(line, above.kind, tools)
    for start, end, instead in reversed(odd):
        plain.apply(Edit(start, end, instead, "", (start, end)))
    node, _ = plain.attempt(plain.text)
    if not plain.stands(node):
        node, wrongs, _ = _mend(plain.text, above, tools)
        for wrong in wrongs:
            plain.tell(*wrong)
    elif len(odd) > 1:
        plain.tell(0, len(plain.text), say(plain.text))
    if not any(wrong.end - wrong.start == len(line) for wrong in plain.wrongs):
        first = Wrong(*odd_character(line, odd[0][1] - 1))
        plain.wrongs = [*(each for each in plain.wrongs if each.start != first.start), first]
    return Mended(plain.move(node), sorted(plain.wrongs))


def _mend(line: str, above: Indented, tools: Tools) -> Mended:
    place = above.kind
    repair = LineRepair(line, place, tools)
    node = _work_through(repair, MOST_IN_A_LINE)
    stray = BELONGS.get(type(node), place) != place and (place in OF_A_KIND or not repair.wrongs)
    word = first_word(line)
    near, _ = nearest_word(word, FIRST_WORDS.get(place, ())) if stray else (None, 0)
    if near and repair.reads(near + line[len(word) :]):
        return Mended(None, [Wrong(0, len(word), misspelt(0, len(word), word, near).says)])
    if stray or (node is None and place in OF_A_KIND and word in FIRST_WORDS[""]):
        # It was read as the name of a length, or of another kind of line.
        node, repair.wrongs = None, [each._replace(telling=Telling.VAGUE) for each in repair.wrongs]
    worked = Mended(repair.move(node) if repair.sure and node is not None else None, sorted(repair.wrongs))
    one_slip = worked.node is not None and len(repair.wrongs) == 1
    otherwise = one_slip and _meant_otherwise(repair, line, place)
    put_in = all(not old for _, old, _ in repair.shifts)
    if first_word(line) in _LISTS and one_slip and (put_in or not repair.is_part) and not otherwise:
        return worked
    said = LineRepair(line, place, tools)
    if (read := rephrased(said)) is not None:
        return Mended(read, said.wrongs)
    commas = repair.text.translate(_BARE) == line.translate(_BARE)
    if commas and repair.sure and repair.stands(node) and len(repair.wrongs) > 1:
        return Mended(worked.node, [Wrong(0, len(line), say(re.sub(" +(?=,)|(?<= ) +", "", repair.text)))])
    if first_word(line) == "part" and len(repair.wrongs) > 1 and (says := such_as(said, MOST_LEFT)):
        return Mended(None, [Wrong(0, len(line), says)])
    by_looks = all(wrong.telling is Telling.SURE for wrong in repair.wrongs)
    if repair.wrongs and by_looks and (node is not None or not repair.sure):
        return worked
    wished = wish(line, place)
    put_right = one_slip and all(old for _, old, _ in repair.shifts)
    of_part = "part" in {place, first_word(line)}
    if put_right and (wished is None or (of_part and not otherwise)):
        return worked
    slip = LineRepair(line, place, tools)
    if wished is None and (read := rephrased(slip, slips=True)) is not None:
        return Mended(read, slip.wrongs)
    says = such_as(said, 0) or _but_for_its_reason(line, place, tools)
    if not says and (worked.node is None or len(repair.wrongs) > MOST_LEFT):
        says = _for_want(repair, LineRepair(line, place, tools), wished, nearly=node is not None)
    says = says or (wished.says if wished else "")
    if says:
        start, end = wished[:2] if wished and says == wished.says else (0, len(line))
        return Mended(None, [Wrong(start, end, says)])
    return worked if repair.wrongs else Mended(None, [Wrong(0, len(line), "this line cannot be read")])


def _for_want(worked: LineRepair, whole: LineRepair, wished: Wrong | None, *, nearly: bool) -> str | None:
    """What to say of a line of which some words are not understood; nothing where its one mistake is told at its place,
    ``nearly`` in the plan's words, or where it is a wish."""
    pointed = len(worked.wrongs) == 1 and worked.wrongs[0].telling is not Telling.VAGUE
    if pointed and (nearly or worked.wrongs[0].telling is Telling.SURE):
        return None
    says = None if wished or pointed else _piece_by_piece(whole.text, whole.place, whole.tools)
    says = says or such_as(whole, 0 if wished else MOST_LEFT)
    if says or pointed or wished:
        return says
    if whole.place not in OF_A_KIND and worked.wrongs and worked.wrongs[0].telling:
        return None  # its first word is misspelt
    return such_as(whole, 2 * MANY_LEFT) or _elsewhere(whole.text, whole.place, whole.tools)


def _meant(line: str, place: str, tools: Tools, left: int = 0) -> str | None:
    """What to say of a line, or a stretch of one, that is understood under one of a kind."""
    alone = LineRepair(line, place, tools)
    if alone.reads(line) or rephrased(alone) is not None:
        return say(alone.text)
    return such_as(LineRepair(line, place, tools), left)


def understood(line: str, place: str, tools: Tools) -> Say | None:
    """The lines that say all of a line, or a stretch of one, under one of a kind."""
    says = _meant(line, place, tools) or _piece_by_piece(line, place, tools)
    return says if isinstance(says, Say) else None


def _wished(line: str, place: str) -> str | None:
    told = wish(line, place)
    return told.says if told is not None else None


def _piece_by_piece(line: str, place: str, tools: Tools) -> str | None:
    """What to say of a line that tells several things, of which one at least has a line of its own."""
    empty = called("nouns")["empty"]
    pieces = [each for each in _BETWEEN.split(line) if re.sub(empty, "", each).strip()]
    if place not in {"part", "join"} or not 1 < len(pieces) <= MOST_PIECES:
        return None
    meant = [_meant(each, place, tools) or _wished(each, place) for each in pieces]
    told = [says or topic(each, place) or "" for says, each in zip(meant, pieces, strict=True)]
    own = [says.lines[0] for says in told if isinstance(says, Say) and len(says.lines) == 1 and not says.more]
    if not all(told) or (not own and None in meant) or len({*told}) < len(told):
        return None
    if len(own) == len(told):
        return say(*own)
    return "; ".join(f"`{piece}`: {says}" for piece, says in zip(pieces, told, strict=True))


def _but_for_its_reason(line: str, place: str, tools: Tools) -> str | None:
    """What to say of a line that is understood but for what it says of why, or when."""
    reason = _REASON.search(line) if place else None
    ahead = line[: reason.start()] if reason else ""
    says = ahead and (_meant(ahead, place, tools) or _piece_by_piece(ahead, place, tools))
    return f"{says}; `{reason[0].strip(' ,')}` can stand behind `#`" if reason and says else None


def _elsewhere(line: str, place: str, tools: Tools, of: Sequence[str] = OF_A_KIND) -> str | None:
    """What to say of a line that would be understood under another one, or that is about something of the trade."""
    first = first_word(line)
    words = {first, *(() if place else line.split())}
    words -= {"let"} if "=" not in line else set()
    known = not words.isdisjoint((*FIRST_WORDS[""], *FIRST_WORDS.get(place, ())))
    others = [each for each in of if each != place and not known]
    for where, says in _told_of(line, place, tools, others):
        if says:
            own = where == place or isinstance(says, Anywhere)
            return says if own else f"this is said of a {where}, under its `{where}` line: {says}"
    near, likeness = nearest_word(first, FIRST_WORDS.get(place, ()))
    return None if known or (near and likeness >= BEYOND_DOUBT) else topic(line, f"any_{place}")


def _told_of(line: str, place: str, tools: Tools, others: Sequence[str]) -> Iterator[tuple[str, str | None]]:
    """What may be told of a line under this one and others, what is likeliest first."""
    for left in (0, 1):
        for other in others:
            yield other, _meant(line, other, tools, left)
    yield place, topic(line, place)
    for other in others:
        yield other, _wished(line, other)
    if others:
        yield place, topic(line, place, aside=True)
    for aside in (False, True) if place else (False,):
        for other in others:
            yield other, topic(line, other, aside=aside)


def _meant_otherwise(repair: LineRepair, line: str, place: str) -> bool:
    """Whether a line says more than its one slip put right: of stock, where its sizes in order make another line, as of
    `3/4 thick, 4x8`; of a unit or a load, where it lies."""
    first = first_word(line)
    if re.match(r"part \w+ (?:is|are) |part .* each of |part .* with (?!join)", line):
        return True
    if first in {"place", "load"} or re.match(r"part \w+ \w+ of ", line):
        return wish(line, place) is not None
    offers = stock_in_order(line) if first == "stock" else ()
    meant = next((each.text for each in offers if repair.reads(each.text)), repair.text)
    return re.findall(r"[^ ,]+", meant) != re.findall(r"[^ ,]+", repair.text)


def by_number(whole: str, line: str, above: Indented, tools: Tools) -> str | None:
    """What to say of a line with a number after `#`, which starts a remark; ``None`` where a remark was meant: where
    what stands before it is sound, all but the thread of screws."""
    place = above.kind
    repair = LineRepair(whole, place, tools)
    if line and not line.startswith("screws ") and repair.attempt(line)[0] and not tools.builder.problems:
        return None
    says = _meant(whole, place, tools)
    if not says or not (line or "`screws " in says):
        return None
    return f"`#` starts a remark, and what is behind it is not read: {says}"


def _work_through(repair: LineRepair, most: int) -> Any:
    """Tells one mistake after another; the node, if the line can be mended to its end."""
    guessed: Guess | None = None
    for told in range(most):
        node, trouble = repair.attempt(repair.text)
        if trouble is None:
            repair.tell_problems(len(repair.text))
            return None if repair.tools.builder.spoiled else node
        said = complaint(repair, trouble)
        edit = None
        if trouble.kind:
            edit = best_edit(repair, trouble, said, strange_first_word(repair, trouble) is not None)
        told_little = edit is None or not edit.proven or not edit.telling
        put_in = edit is not None and edit.start == edit.end  # `sideways` lacks no `long`
        if (
            guessed is None
            and (told_little or put_in)
            and (item := _item_told(repair, trouble, a_word=not told_little))
        ):
            said, edit = item, None
            trouble = trouble._replace(start=item.start)
        if edit is None:
            if guessed is None:
                repair.tell(*said)
                guessed = Guess(len(repair.wrongs), len(repair.shifts), repair.text, trouble, said.telling)
            # What followed a guess that did not bring the line to its end came of the guess.
            del repair.wrongs[guessed.told :], repair.shifts[guessed.shifts :]
            repair.text = guessed.text
            if repair.wrongs:
                repair.wrongs[-1] = repair.wrongs[-1]._replace(
                    telling=min(repair.wrongs[-1].telling, guessed.telling)
                )
            repair.attempt(repair.text)
            # A keyword right before the trouble was taken for a name: part of the same mistake.
            repair.tell_problems(guessed.trouble.start, repair.word_before(guessed.trouble.start)[1])
            _read_on(repair, guessed, most - told - 1)
            break
        if not edit.proven and guessed is None:
            guessed = Guess(len(repair.wrongs) + 1, len(repair.shifts), repair.text, trouble)
        repair.apply(edit)
        if edit.proven:
            guessed = None
    return None


def _item_told(repair: LineRepair, trouble: ParserStop, *, a_word: bool) -> Wrong | None:
    """What one of several details of a part means that is told in other words, as if it stood alone; where it is
    likely what it means, only if it is just ``a_word``."""
    text = repair.text
    start = repair.item_start(trouble.start)
    comma = text.find(",", start)
    item = text[start : comma if comma >= 0 else len(text)].rstrip()
    if not (repair.is_part and item) or item == text or (not start and repair.place != "part"):
        return None
    if a_word and not item.isidentifier():
        return None
    if "_" in item and item.isidentifier():
        which = f"which measure is this? `{item} long`, `{item} wide` or `{item} thick`"
        return Wrong(start, start + len(item), which, Telling.SURE)
    says = _meant(item, "part", repair.tools) or _wished(item, "part")
    says = says or _elsewhere(item, "part", repair.tools, ("join",))
    return Wrong(start, start + len(item), says, Telling.SURE) if says else None


def _read_on(repair: LineRepair, guess: Guess, most: int) -> None:
    """Looks for further mistakes in the details behind the next comma, where a line is a list of them."""
    trouble, text = guess.trouble, repair.text
    if not trouble.kind or not repair.is_list or text.startswith("place "):
        return
    comma = text.find(",", max(trouble.start, text.find(" of ") if text.startswith("part ") else 0))
    while comma >= 0 and _goes_on(text[comma + 1 :]):
        comma = text.find(",", comma + 1)
    if comma < 0 or not text[comma + 1 :].strip():
        return
    lead = "rough, " if repair.is_part else "as butt, "
    rest = LineRepair(lead + text[comma + 1 :], repair.place or "part", repair.tools)
    _work_through(rest, most)
    shift = comma + 1 - len(lead)
    for start, end, says, telling in rest.wrongs:
        repair.tell(start + shift, end + shift, says, telling)


def _goes_on(rest: str) -> bool:
    """Whether what follows a comma is still of the detail before it: `long at SIDE`, `EXPR from SIDE`."""
    item = rest.split(",", 1)[0]
    return item.lstrip().startswith("long at") or " from " in item
