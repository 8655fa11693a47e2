"""What a builder most likely meant where a line cannot be read: edits that could mend it, each with its message."""

import re

from planlint.language.line_repair import Edit, LineRepair, ParserStop, Telling, Wrong, stretch_cut_off
from planlint.language.misspelt_words import BEYOND_DOUBT, respelling
from planlint.language.vocabulary import CONNECTING, FASTENERS, FIRST_WORDS, NOT_OFFERED, SIDE_WORDS
from planlint.text.measures import in_words

_WHOLE = -1
"""``LineRepair.left_over`` up to here (its own code for a whole line): the parser reached the end of the line."""

DIGITS_OF_A_THOUSAND = 3

_MOST_TRIED = 16
"""Words tried at one place; where more could stand, none is likely. Basis: own judgement."""

_NOT_FORGOTTEN = frozenset({"assembly", "end", *FASTENERS})
"""With these in front, any word would do for a line: nobody forgot them."""

_LEADS = {"plan": ("seen from", "eye height"), "join": ("set back",)}


def best_edit(repair: LineRepair, trouble: ParserStop, said: Wrong, strange: bool) -> Edit | None:
    """The edit that mends the mistake at hand best; ``None`` if none gets the parser past it.

    ``said`` is what to tell where all that can be said is that a word cannot stand where it does. ``strange``: the
    line or detail starts with a word that nothing starts with, so nothing is missing further on.
    """
    # `wobble-bobble on …` is no sum.
    hyphen = strange and trouble.kind == "-" and repair.text[trouble.end : trouble.end + 1].isalpha()
    edit = _hyphens(repair.text, trouble.start) if hyphen else _plain(repair, trouble)
    if hyphen and edit is not None and repair.left_over(edit) > _WHOLE:
        edit = None
    if edit is not None:
        proven = not edit.says or repair.left_over(edit) <= _WHOLE
        return edit._replace(proven=proven, telling=Telling.SURE if proven else Telling.LIKELY)
    edit = None if hyphen else _missing_before(repair, trouble)
    if edit is not None:
        return edit._replace(proven=repair.left_over(edit) <= _WHOLE)
    respelt = respelling(repair, trouble)
    if strange and respelt and respelt.likeness < BEYOND_DOUBT and respelt.edit.start == trouble.start:
        respelt = None  # `painted white` is not wide
    if respelt is not None and (respelt.likeness >= BEYOND_DOUBT or respelt.left <= _WHOLE):
        return respelt.edit
    found = [] if respelt is None else [(respelt.left, respelt.edit)]
    found += _first_word_missing(repair)
    if not strange:
        found += [*_missing(repair, trouble), *_in_the_way(repair, trouble, said)]
    best = min(found, key=lambda one: one[0], default=None)
    if best is None:
        return None
    return best[1]._replace(proven=best[0] <= _WHOLE)


def _plain(repair: LineRepair, trouble: ParserStop) -> Edit | None:
    """The mending of a mistake that can be told by its looks alone."""
    text = repair.text
    start, end, kind, accepts = trouble
    word = text[start:end]
    behind_number = text[:start].rstrip()[-1:].isdigit()
    if word == "in" and behind_number and not text.startswith("pockets"):
        # `34 in lnog`: read as the keyword for lack of a word that follows a length. The real mistake comes next.
        return Edit(start, end, "", "", (start, end), sure=False)
    otherwise = _said_otherwise(repair, trouble)
    if otherwise is not None:
        return otherwise
    if kind == "-" and "MINUS" in accepts:
        says = (
            "a minus sign has a space on both sides, and a mixed number such as 3-1/2 has none: "
            "it cannot be told which is meant here"
        )
        after = len(text) - len(text[end:].lstrip())
        return Edit(len(text[:start].rstrip()), after, " - ", says, (start, end), sure=False)
    if kind == ")" and open_bracket(text[:start]) < 0:
        says = "this bracket closes nothing: take it out, or open one before it"
        return Edit(start, end, "", says, (start, end), sure=False)
    return None


def _said_otherwise(repair: LineRepair, trouble: ParserStop) -> Edit | None:
    """What is said in another way in this language: a comma in a decimal, marks in names."""
    text = repair.text
    start, end, kind, accepts = trouble
    word = text[start:end]
    edit: Edit | None = None
    if kind == "," and text[start - 1 : start].isdigit() and text[end : end + 1].isdigit():
        first = len(text[:start].rstrip("0123456789"))
        last = len(text) - len(text[end:].lstrip("0123456789"))
        says = f"a decimal has a point: `{text[first:start]}.{text[end:last]}`"
        if last - end == DIGITS_OF_A_THOUSAND:
            says += f"; a thousand has no mark: `{text[first:start]}{text[end:last]}`"
        if not text[:first].endswith((".", "/", "-")):
            edit = Edit(start, end, ".", says, (first, last))
    elif kind == "word" and "RULE" in accepts and "_" in word:
        name = word.lower().replace("_", "-")
        return Edit(start, end, name, f"the names of rules have `-`: `{stretch_cut_off(name)}`", (start, end))
    elif kind == "-" and "MINUS" not in accepts:
        edit = _hyphens(text, start)
    if edit is not None and repair.left_over(edit) < len(text) - edit.end:
        return edit
    return None


def _hyphens(text: str, at: int) -> Edit | None:
    """A name written with ``-`` as with ``_``, where the first of its hyphens stands at a place."""
    start = len(re.sub(r"\w+$", "", text[:at]))
    name = re.sub(r"[^\w-].*$", "", text[start:], flags=re.DOTALL).rstrip("-")
    mark = (start, start + len(name))
    instead = name.replace("-", "_")
    joined = name.replace("-", "")
    if joined in {word for words in FIRST_WORDS.values() for word in words}:
        return Edit(*mark, joined, f"it is one word: `{joined}`", mark)
    if start == at or len(name) <= at + 1 - start or not instead.isidentifier():
        return None
    says = f"names have `_`: `{stretch_cut_off(instead)}`"
    return Edit(*mark, instead, says, mark)


def _missing_before(repair: LineRepair, trouble: ParserStop) -> Edit | None:
    """Where a small word such as `of` was taken for a name, for lack of the name that is due before it."""
    start, end = repair.word_before(trouble.start)
    word = repair.text[start:end]
    if word not in CONNECTING:
        return None
    accepts = repair.accepted_at(start)
    if "NAME" not in accepts:
        return None
    what = "a name is" if "NUMBER" not in accepts else "a number is"
    or_else = ", or the comma before it is one too many" * repair.text[:start].rstrip().endswith(",")
    for instead, missing in (("it ", what), ("it.top ", "a part and its side are")):
        says = f"{missing} missing before `{word}`{or_else}"
        edit = Edit(start, start, instead, says, (start, end), sure=False)
        if repair.left_over(edit) < len(repair.text) - trouble.end:
            return edit
    return None


def open_bracket(text: str) -> int:
    """The place of the last bracket that is opened and not closed, or -1."""
    opened = []
    for at, character in enumerate(text):
        if character == "(":
            opened.append(at)
        elif character == ")" and opened:
            opened.pop()
    return opened[-1] if opened else -1


# ---------------------------------------------------------------- missing and superfluous words


def _first_word_missing(repair: LineRepair) -> list[tuple[int, Edit]]:
    """The word a line should start with, where putting it in makes the line whole."""
    words = FIRST_WORDS.get(repair.place, ())
    first = repair.text[slice(*repair.word_at(0))]
    unknown = repair.place in {"plan", "part", "join"} and not repair.is_keyword(first)
    if first and (first in words or unknown):  # `from ripped to 2-1/2` is no line for want of `from`
        return []
    found = []
    for put in (*words, *_LEADS.get(repair.place, ())):
        if put in _NOT_FORGOTTEN:
            continue
        edit = Edit(0, 0, f"{put} ", "", repair.first_token())
        left = repair.left_over(edit)
        if left <= _WHOLE:
            found.append((left, put, edit))
    if not found:
        return []
    says = f"{in_words([f'`{put}`' for _, put, _ in found], 'or')} is missing at the start of this line"
    left, _, edit = found[0]
    return [(left, edit._replace(says=says, sure=len(found) == 1))]


def _missing(repair: LineRepair, trouble: ParserStop) -> list[tuple[int, Edit]]:
    """The word or mark missing before the place where the parser stopped; several, where each would do."""
    text = repair.text
    at = trouble.start
    names = trouble.accepts - NOT_OFFERED - {"COLON"}
    if at == 0 or len(names) > _MOST_TRIED:
        return []
    best = len(text) - trouble.end
    same: list[tuple[str, Edit]] = []
    for word in repair.keywords(names):
        for edit in _put_in(repair, trouble, word):
            left = repair.left_over(edit)
            if left < best:
                best, same = left, []
            if left == best and best < len(text) - trouble.end:
                same.append((word, edit))
    if not same:
        return []
    word, edit = same[0]
    words = [one for one, _ in same]
    if words == [")"]:
        opened = open_bracket(text[:at])
        return [(best, edit._replace(says="this bracket is never closed", mark=(opened, opened + 1)))]
    if edit.says:
        return [(best, edit)]
    where = (
        "at the end of this line"
        if trouble.kind == "end"
        else f"before `{stretch_cut_off(text[at : trouble.end])}`"
    )
    says = f"{in_words([_shown(one) for one in words], 'or')} is missing {where}"
    return [(best, edit._replace(says=says, mark=(at, trouble.end), sure=len(same) == 1))]


def _put_in(repair: LineRepair, trouble: ParserStop, word: str) -> list[Edit]:
    at = trouble.start
    behind = len(repair.text[:at].rstrip())
    if word in {",", ")"}:
        return [Edit(behind, behind, f"{word} ", "", (at, at))]
    if word == ".":
        start, end = repair.word_before(at)
        name = repair.text[start:end]
        side_words = "|".join(SIDE_WORDS)
        met = re.search(rf"\.({side_words})\b", repair.text)
        side = SIDE_WORDS[SIDE_WORDS.index(met[1]) ^ 1] if met else "top"
        says = f"a side is missing after `{stretch_cut_off(name)}`, such as `{stretch_cut_off(name)}.{side}`"
        of_side = re.fullmatch(rf"(\w+)_({side_words})", name)
        says += f"; or is `{of_side[1]}.{of_side[2]}` meant?" if of_side else ""
        without = Edit(behind, behind, f".{side} ", says, (start, end), sure=False)
        return [Edit(behind, at, ".", "", (at, at)), without]
    return [Edit(at, at, f"{'' if at > behind else ' '}{word} ", "", (at, at))]


def _in_the_way(repair: LineRepair, trouble: ParserStop, said: Wrong) -> list[tuple[int, Edit]]:
    """Edits without a word that should not be there, or should be another, where the line is then whole."""
    start, end, kind, accepts = trouble
    if kind not in {"word", "number"}:
        return []
    instead = repair.keywords(accepts - NOT_OFFERED) if len(accepts) <= _MOST_TRIED else []
    mark, told = (said.start, said.end), said.telling
    edits = [Edit(start, end, word, said.says, mark, sure=False, telling=told) for word in (*instead, "")]
    return [(left, edit) for edit in edits if (left := repair.left_over(edit)) <= _WHOLE]


# ---------------------------------------------------------------- how things are shown


def _shown(word: str) -> str:
    """A keyword or a mark, as it is named in a message."""
    names = {",": "a comma", ")": "a closing bracket", ":": "a colon", ".": "a dot", "=": "an equals sign"}
    return names.get(word, f"`{word}`")
