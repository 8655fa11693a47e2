"""What a builder most likely meant where a line cannot be read: edits that could mend it, each with its message."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher

from planlint.language.bench import Bench, Edit, Trouble
from planlint.language.words import CONNECTING, FIRST_WORDS, MEANT_BY, NOT_OFFERED, WORDS_OF_TERMINAL

NEAR_ENOUGH = 0.6
"""Share of letters in common from which a word counts as misspelt. Basis: own judgement."""

BEYOND_DOUBT = 0.75
"""The same for a first word when the rest of the line does not fit it either. Basis: own judgement."""

_UNIT_WORDS = ("inch", "inches", "in", "ft", "feet", "foot", "mm", "cm", "m")
_PHRASES = frozenset({"TRADITION", "SPAN_WORDS"})


def plain_edit(bench: Bench, trouble: Trouble) -> Edit | None:
    """The mending of a mistake that can be told by its looks alone."""
    text = bench.text
    start, end, kind, accepts = trouble
    word = text[start:end]
    behind_number = text[:start].rstrip()[-1:].isdigit()
    if word == "in" and behind_number and not text.startswith("pockets"):
        # `34 in lnog`: read as the keyword for lack of a word that follows a length. The real mistake comes next.
        return Edit(start, end, "", "", (start, end), sure=False)
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
    if word[:1] == "x" and word[1:].isdigit() and behind_number:
        instead = f" x {word[1:]}"
        return Edit(
            start, end, instead, "the x between two sizes has a space on both sides", (start, start + 1)
        )
    return _missing_before(bench, trouble)


def _missing_before(bench: Bench, trouble: Trouble) -> Edit | None:
    """Where a small word such as `of` was taken for a name, for lack of the name that is due before it."""
    start, end = bench.word_before(trouble.start)
    word = bench.text[start:end]
    if word not in CONNECTING:
        return None
    accepts = bench.accepted_at(start)
    if "NAME" not in accepts:
        return None
    what = "a name" if "NUMBER" not in accepts else "a number"
    edit = Edit(start, start, "it ", f"{what} is missing before `{word}`", (start, end), sure=False)
    return edit if bench.left_over(edit) < len(bench.text) - trouble.end else None


def open_bracket(text: str) -> int:
    """The place of the last bracket that is opened and not closed, or -1."""
    opened = []
    for at, character in enumerate(text):
        if character == "(":
            opened.append(at)
        elif character == ")" and opened:
            opened.pop()
    return opened[-1] if opened else -1


# ---------------------------------------------------------------- misspelt words


def respelling(bench: Bench, trouble: Trouble) -> Edit | None:
    """The best respelling of the word the parser stopped at, or of the one before it, that gets it further."""
    places = [bench.word_before(trouble.start)]
    if trouble.kind == "word":
        places.insert(0, (trouble.start, trouble.end))
    best: tuple[int, Edit] | None = None
    for start, end in places:
        if start == end:
            continue
        accepts = trouble.accepts if start == trouble.start else bench.accepted_at(start)
        for edit, likeness in _respell(bench, start, end, accepts):
            left = bench.left_over(edit)
            doubtful = likeness < BEYOND_DOUBT and start == bench.item_start(start)
            # Beyond doubt the word before was meant so, even if the next one is wrong as well.
            sure = start < trouble.start and likeness >= BEYOND_DOUBT
            most = trouble.start - 1 if sure else trouble.end
            if left >= 0 and (doubtful or left >= len(bench.text) - most):
                continue
            if best is None or left < best[0]:
                best = (left, edit)
    return best[1] if best else None


def _respell(bench: Bench, start: int, end: int, accepts: frozenset[str]) -> list[tuple[Edit, float]]:
    """Respellings of the word at a place, by what could stand there, each with how alike they are."""
    text = bench.text
    found: list[tuple[Edit, float]] = []
    for terminal in _PHRASES & accepts:
        stop = text.find(",", start)
        phrase = text[start : stop if stop >= 0 else len(text)].rstrip()
        near, likeness = nearest_word(phrase, WORDS_OF_TERMINAL[terminal])
        if near and near != phrase:
            found.append((_misspelt(start, start + len(phrase), phrase, near), likeness))
    word = text[start:end]
    words = words_of(bench, accepts)
    if text[:start].rstrip()[-1:].isdigit() and accepts & {"MINUS", "STAR"}:
        words += _UNIT_WORDS
    likely = [one for one in words if one in FIRST_WORDS.get(bench.place, ())] if not start else []
    for group in (likely, words):
        near, likeness = nearest_word(word, group)
        if near and near != word:
            found.append((_misspelt(start, end, word, near), likeness))
            break
    for keyword in words:
        if len(keyword) > 2 and word.startswith(keyword) and len(word) > len(keyword):
            apart = f"{keyword} {word[len(keyword) :].lstrip('_-')}"
            says = f"a space is missing in `{shortened(word)}`: `{shortened(apart)}`"
            found.append((Edit(start, end, apart, says, (start, end)), 0.0))
    return found


def _misspelt(start: int, end: int, word: str, near: str) -> Edit:
    if word.lower() == near:
        says = f"`{word}` is written in small letters: `{near}`"
    else:
        what = "phrase" if " " in word else "word"
        says = f"`{shortened(word)}` is not a {what} of the plan language here; did you mean `{near}`?"
    return Edit(start, end, near, says, (start, end))


def words_of(bench: Bench, accepts: frozenset[str]) -> list[str]:
    """The words that some terminals stand for, phrases left out."""
    found: list[str] = []
    for name in sorted(accepts - _PHRASES):
        word = bench.keyword(name)
        if name in WORDS_OF_TERMINAL:
            found += WORDS_OF_TERMINAL[name]
        elif word and word.isalpha():
            found.append(word)
    return found


def nearest_word(word: str, words: Sequence[str]) -> tuple[str | None, float]:
    """The word most like ``word`` and how alike they are (1 is the same letters), if one could be meant by it."""
    word = word.lower()
    meant = MEANT_BY.get(word)
    if meant in words:
        return meant, 1.0
    matcher = SequenceMatcher(b=word)
    best: tuple[float, str | None] = (0.0, None)
    for candidate in words:
        matcher.set_seq1(candidate)
        likeness = 1.0 if sorted(candidate) == sorted(word) else matcher.ratio()
        # A word with another first letter is rarely the one that was meant.
        if candidate[0] != word[0]:
            likeness -= 0.1
        if likeness >= NEAR_ENOUGH and likeness > best[0]:
            best = (likeness, candidate)
    if best[1] is None and len(word) > 5:
        near = next(
            (meant for other, meant in MEANT_BY.items() if meant in words and _alike(word, other)), None
        )
        return near, BEYOND_DOUBT
    return best[1], best[0]


def _alike(word: str, other: str) -> bool:
    return SequenceMatcher(None, other, word).ratio() > 0.85


# ---------------------------------------------------------------- missing words


def insertion(bench: Bench, trouble: Trouble) -> Edit | None:
    """The word or mark missing before the place where the parser stopped; several, where each would do."""
    text = bench.text
    at = trouble.start
    names = trouble.accepts - NOT_OFFERED - {"COLON"}
    if at == 0 or len(names) > 16:
        return None
    order = {terminal.name: number for number, terminal in enumerate(bench.tools.lark.terminals)}
    best = len(text) - trouble.end
    same: list[tuple[str, Edit]] = []
    for name in sorted(names, key=lambda name: order.get(name, 0)):
        word = bench.keyword(name)
        if word is None:
            continue
        for edit in _put_in(bench, trouble, word):
            left = bench.left_over(edit)
            if left < best:
                best, same = left, []
            if left == best and best < len(text) - trouble.end:
                same.append((word, edit))
    if not same:
        return None
    word, edit = same[0]
    words = [one for one, _ in same]
    mark = (at, trouble.end)
    if words == [")"]:
        opened = open_bracket(text[:at])
        return edit._replace(says="this bracket is never closed", mark=(opened, opened + 1))
    if edit.says:
        return edit
    where = (
        "at the end of this line"
        if trouble.kind == "end"
        else f"before `{shortened(text[at : trouble.end])}`"
    )
    says = f"{any_of([shown(one) for one in words])} is missing {where}"
    return edit._replace(says=says, mark=mark, sure=len(same) == 1)


def _put_in(bench: Bench, trouble: Trouble, word: str) -> list[Edit]:
    at = trouble.start
    behind = len(bench.text[:at].rstrip())
    if word in {",", ")"}:
        return [Edit(behind, behind, f"{word} ", "", (at, at))]
    if word == ".":
        start, end = bench.word_before(at)
        name = bench.text[start:end]
        says = f"a side is missing after `{shortened(name)}`, such as `{shortened(name)}.top`"
        without = Edit(behind, behind, ".top ", says, (start, end), sure=False)
        return [Edit(behind, at, ".", "", (at, at)), without]
    return [Edit(at, at, f"{'' if at > behind else ' '}{word} ", "", (at, at))]


# ---------------------------------------------------------------- how things are shown


def shown(word: str) -> str:
    """A keyword or a mark, as it is named in a message."""
    names = {",": "a comma", ")": "a closing bracket", ":": "a colon", ".": "a dot", "=": "an equals sign"}
    return names.get(word, f"`{word}`")


def any_of(words: Sequence[str]) -> str:
    """``a``, ``a or b``, ``a, b or c``."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " or " + words[-1]


def shortened(text: str) -> str:
    """A stretch of a plan short enough for a message."""
    return text if len(text) <= 40 else text[:37] + "…"
