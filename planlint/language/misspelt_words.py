"""Misspelt words: which word of the language was most likely meant."""

import re
from collections.abc import Sequence
from difflib import SequenceMatcher
from functools import cache
from typing import NamedTuple

from planlint.language.any_order import called, put
from planlint.language.line_repair import Edit, LineRepair, ParserStop, stretch_cut_off
from planlint.language.vocabulary import FIRST_WORDS, WORDS_OF_TERMINAL
from planlint.text.resources import resource

NEAR_ENOUGH = 0.6
"""Share of letters in common from which a word counts as misspelt. Basis: own judgement."""

BEYOND_DOUBT = 0.75
"""The same for a first word when the rest of the line does not fit it either. Basis: own judgement."""

SURELY_MEANT = 0.8
"""Likeness from which a word is taken for one of the trade. Basis: own judgement."""
_PHRASES = frozenset({"TRADITION", "SPAN_WORDS", "PURPOSE"})


class Respelling(NamedTuple):
    """A word put right: ``likeness`` to what was written, and what is ``left`` unread of the line after it."""

    edit: Edit
    likeness: float
    left: int


def respelling(repair: LineRepair, trouble: ParserStop) -> Respelling | None:
    """The best respelling of the word the parser stopped at, the one before it or the first of the detail."""
    text = repair.text
    item = repair.item_start(trouble.start)
    places = [repair.word_before(trouble.start), repair.word_at(item)]
    if trouble.kind == "word":
        places.insert(0, (trouble.start, trouble.end))
    best: Respelling | None = None
    for start, end in dict.fromkeys(places):
        if start == end or start > trouble.start:
            continue
        accepts = trouble.accepts if start == trouble.start else repair.accepted_at(start)
        for edit, likeness in _respell(repair, start, end, accepts):
            left = repair.left_over(edit)
            doubtful = likeness < BEYOND_DOUBT and start == item
            # Beyond doubt the word before was meant so, even if the next one is wrong as well.
            sure = start < trouble.start and likeness >= BEYOND_DOUBT
            most = trouble.start - 1 if sure else trouble.end
            if left >= 0 and (doubtful or repair.is_keyword(text[start:end]) or left >= len(text) - most):
                continue
            if best is None or left < best.left:
                best = Respelling(edit, likeness, left)
    return best


def _respell(repair: LineRepair, start: int, end: int, accepts: frozenset[str]) -> list[tuple[Edit, float]]:
    """Respellings of the word at a place, by what could stand there, each with how alike they are."""
    text = repair.text
    found: list[tuple[Edit, float]] = []
    for terminal in _PHRASES & accepts:
        stop = text.find(",", start)
        phrase = text[start : stop if stop >= 0 else len(text)].rstrip()
        near, likeness = nearest_word(phrase, WORDS_OF_TERMINAL[terminal])
        if near and near != phrase:
            found.append((misspelt(start, start + len(phrase), phrase, near), likeness))
    word = text[start:end]
    words = _words_of(repair, accepts if text[end : end + 1] == "(" else accepts - {"FUNCTION"})
    if text[:start].rstrip()[-1:].isdigit() and accepts & {"MINUS", "STAR"}:
        words += WORDS_OF_TERMINAL["UNIT"]
    likely = [one for one in words if one in FIRST_WORDS.get(repair.place, ())] if not start else []
    for group in (likely, words):
        near, likeness = nearest_word(word, group)
        if near and near != word:
            found.append((misspelt(start, end, word, near), likeness))
            break
    for keyword in words:
        if len(keyword) > 2 and word.startswith(keyword) and len(word) > len(keyword):
            apart = f"{keyword} {word[len(keyword) :].lstrip('_-')}"
            says = f"a space is missing in `{stretch_cut_off(word)}`: `{stretch_cut_off(apart)}`"
            found.append((Edit(start, end, apart, says, (start, end)), 0.0))
    return found


def misspelt(start: int, end: int, word: str, near: str) -> Edit:
    if word.lower() == near:
        says = f"`{word}` is written in small letters: `{near}`"
    else:
        what = "phrase" if " " in word else "word"
        says = f"`{stretch_cut_off(word)}` is not a {what} of the plan language here; did you mean `{near}`?"
    return Edit(start, end, near, says, (start, end))


def _words_of(repair: LineRepair, accepts: frozenset[str]) -> list[str]:
    """The words that some terminals stand for, phrases left out."""
    found: list[str] = []
    for name in sorted(accepts - _PHRASES):
        word = repair.keyword(name)
        if name in WORDS_OF_TERMINAL:
            found += WORDS_OF_TERMINAL[name]
        elif word and word.isalpha():
            found.append(word)
    return found


def nearest_word(word: str, words: Sequence[str]) -> tuple[str | None, float]:
    """The word most like ``word`` and how alike they are (1 is the same letters), if one could be meant by it."""
    word = word.lower()
    meant = called("meant").get(word)
    if meant in words:
        return meant, 1.0
    matcher = SequenceMatcher(b=word)
    best: tuple[float, str | None] = (0.0, None)
    for candidate in words:
        matcher.set_seq1(candidate)
        likeness = 1.0 if sorted(candidate) == sorted(word) else matcher.ratio()
        # A word with another first letter is rarely the one that was meant.
        if candidate[0] != word[:1]:
            likeness -= 0.1
        if likeness >= NEAR_ENOUGH and likeness > best[0]:
            best = (likeness, candidate)
    if best[1] is None and len(word) > 5:
        for other, meant in called("meant").items():
            if meant in words and SequenceMatcher(None, other, word).ratio() > 0.85:
                return meant, BEYOND_DOUBT
        return None, BEYOND_DOUBT
    return best[1], best[0]


def spelt_out(line: str, place: str) -> str:
    """A line under one of some kind with its words in full, and those of the trade that are misspelt put right."""
    line = put("spelt", line)
    glossary = called("glossary").get(place, "").split()

    def meant(word: re.Match[str]) -> str:
        near, likeness = nearest_word(word[0], glossary)
        sure = near and near[0] == word[0][0].lower() and likeness >= SURELY_MEANT
        return near if near and sure and not {word[0].lower(), word[0].lower()[:-1]} & _known() else word[0]

    return re.sub(r"(?<![\w.])[A-Za-z]{5,}(?![\w.])", meant, line) if glossary else line


@cache
def _known() -> frozenset[str]:
    """All words of the tables of what builders say: none of them is another one misspelt."""
    tables = (resource("grammar", f"{each}.toml") for each in ("called", "topics", "wishes"))
    return frozenset(word for each in tables for word in re.findall("[a-z]{4,}", each.read_text("utf-8")))
