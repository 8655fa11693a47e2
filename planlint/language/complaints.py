"""What to say of a line that cannot be mended: what is wrong, where, and what could stand there."""

from planlint.language.any_order import called
from planlint.language.line_repair import LineRepair, ParserStop, Telling, Wrong, is_word, stretch_cut_off
from planlint.language.odd_characters import numbered_otherwise, odd_character
from planlint.language.vocabulary import (
    FIRST_WORDS,
    NOT_OFFERED,
    RESERVED,
    WORDS_OF_TERMINAL,
    first_word,
)
from planlint.text.measures import in_words

_Said = tuple[int, int, str]


def complaint(repair: LineRepair, trouble: ParserStop) -> Wrong:
    """What to tell of the trouble at hand."""
    start, end, kind, _ = trouble
    if not kind:
        return Wrong(*odd_character(repair.text, start))
    known = _known(repair, trouble)
    if known:
        return Wrong(*known)
    said = strange_first_word(repair, trouble)
    word = stretch_cut_off(repair.text[start:end])
    due = _due(repair, trouble.accepts)
    if said is None and kind == "end":
        said = _too_early(repair, start, due)
    elif said is None and not due:
        said = start, len(repair.text), f"the line should end before `{word}`: the rest can stand behind `#`"
    elif said is None:
        said = start, end, f"`{word}` cannot stand here; {due} could"
    return Wrong(*said, Telling.VAGUE)


def _known(repair: LineRepair, trouble: ParserStop) -> _Said | None:
    """Mistakes that builders are known to make, with a message of their own."""
    text = repair.text
    start, end, kind, accepts = trouble
    word = text[start:end]
    if "TEXT" in accepts and kind != "end":
        what = "title" if text.startswith("plan") else "file" if text.startswith("use") else "reason"
        return start, len(text), f'the {what} stands in double quotes: "{stretch_cut_off(text[start:])}"'
    before_start, before_end = repair.word_before(start)
    before = text[before_start:before_end]
    if kind == "(" and before:
        numbered = numbered_otherwise(text, start)
        if numbered and (before.endswith("_") or text[numbered[1] :].startswith(".")):
            return numbered
        if "STAR" not in accepts:  # `part rail (front)`: no sum stands here
            return None
        functions = [f"`{each}`" for each in ("min", "max", *WORDS_OF_TERMINAL["FUNCTION"])]
        says = f"`{stretch_cut_off(before)}` is not a function of the plan language; it has {in_words(functions, 'or')}"
        return before_start, before_end, says
    if kind == "word" and text[:start].rstrip()[-1:].isdigit() and accepts <= NOT_OFFERED:
        return start, end, f"`{stretch_cut_off(word)}` is not a unit; inch, ft, mm, cm and m are"
    return None


def strange_first_word(repair: LineRepair, trouble: ParserStop) -> _Said | None:
    """Where a line or a detail starts with a word that nothing starts with: it was read as a length's name."""
    text = repair.text
    item = repair.item_start(trouble.start)
    place = "part" if item else repair.place
    first = text[item : trouble.start].strip()
    begins = first_word(text).rstrip(",:;")
    if place not in {"part", "join"} and begins not in FIRST_WORDS.get(place, ()):
        return 0, len(begins), _no_start(place, begins)
    if first in RESERVED or not is_word(first) or "NUMBER" not in repair.accepted_at(item):
        return None
    if text.startswith("as ") or " as " in text:
        return item, item + len(first), f"`{stretch_cut_off(first)}` is not a measure or a word of a joint"
    return item, item + len(first), _no_start(place, first)


def _no_start(place: str, word: str) -> str:
    detail = place in {"part", "join", "plan"}
    told = "`{}` is not a detail of a {}" if detail else "no line starts with `{}`"
    starts = in_words([f"`{each}`" for each in FIRST_WORDS.get(place, ("end",))], "or")
    likely = called("likely").get(place, f"a line starts with {starts}")
    return f"{told.format(stretch_cut_off(word), place)}; {likely}; a remark stands behind `#`"


def _too_early(repair: LineRepair, end: int, due: str) -> _Said:
    text = repair.text
    behind = len(text.rstrip())
    if text.endswith(",") and repair.is_part:
        return behind - 1, behind, "a detail of the part is due behind this comma"
    if text.startswith("stock") and due == called("due")["COMMA"]:
        due = "a comma and a size, such as `, 4x4` or `, 3/4 x 5-1/2`,"
    return end, end, f"this line stops too early: {due} is due" if due else "this line stops too early"


def _due(repair: LineRepair, accepts: frozenset[str]) -> str:
    """What could stand somewhere, in plain words: the few likely things."""
    names = accepts - NOT_OFFERED
    phrases = [phrase for name, phrase in called("due").items() if name in names]
    words = [word for name in sorted(names - called("due").keys()) if (word := repair.keyword(name))]
    if len(words) > 5:
        likely = FIRST_WORDS.get(repair.place, ())
        words = [word for word in words if word in likely][:5] if len(phrases) < 2 else []
    offered = [f"`{called('whole').get(word, word)}`" for word in words] + phrases
    return in_words(offered, "or") if offered else ""
