"""What builders say in words that are near those of the plan language, put into its words where the line then reads.

Nothing is guessed: a line so put must be one that can be read as a whole, and it is told, not taken over in silence.
"""

from __future__ import annotations

import re
from typing import Any

from planlint.language.join_phrases import NUMBERED, OF_JOINS
from planlint.language.line_repair import Edit, LineRepair, Wrong
from planlint.language.part_phrases import OF_PARTS
from planlint.language.phrases import phrases
from planlint.language.stock_in_order import stock_in_order
from planlint.language.vocabulary import first_word

MOST_TIMES = 6
"""Times that one phrase is put right in a line: as many as there are sides."""

LONGEST = 200
"""Characters of a line that is looked at: what is longer was not said by a builder. Basis: our own judgement."""


def _in_brackets(found: re.Match[str]) -> str:
    return f"assembly {found[1]}({', '.join(re.findall(r'[a-z_0-9]+', found[2]))})"


_PHRASES = [
    *NUMBERED,
    *phrases(
        "top",
        (r"^(?:plan|title|project|name|piece) ?[:=]? ?(?=\")", "plan "),
        (r"^plan ?[:=] ?([^\"]+)$", r'plan "\1"'),
        (r"^(\w+) ?= ?(?=[0-9(])", r"let \1 = "),
    ),
    *phrases(
        "plan part join load",
        (r"^([a-z]+(?: [a-z]+)?) ?: ?(?=[\w\"])", r"\1 "),
    ),
    *phrases(
        "plan",
        (
            r"^(?:all )?(?:units?|dimensions|measure(?:ment)?s|lengths|sizes)(?: are)?(?: in|:| is)? (\w+)$",
            r"unit \1",
        ),
        (r"^(?:visible|viewed|seen)(?: from)? (?!from)", "seen from "),
        (r"^(?:(?:its )?back |stands? |standing )?against (?:a |the )?wall$", "seen from front, left, right"),
        (r"^eyes?(?: level| height)?(?: at| of|:)? (?=[0-9])", "eye height "),
        (r"^(?:metric|millimet(?:re|er)s?|mm)$", "unit mm"),
        (r"^(?:imperial|inch|inches)$", "unit inch"),
        (r"^for (?:kids|small children|toddlers)$", "for children"),
        (r"^(seen from (?:<SIDE>, )*<SIDE>),? and ", r"\1, "),
        (r"^seen from (?:everywhere|all (?:sides|around))$", "seen from all round"),
        (r"^(stainless|galvanized|coated|bronze)(?: steel)? screws$|^screws (\w+) steel$", r"screws \1\2"),
        (r"^use (?:as )?(?=crib|bunk|loft|guard|stair)", "use as "),
    ),
    *phrases(
        "any",
        (r"(?<!towards )\bthe (?!middle third)(?![^\"]*\"$)", ""),
        (r" ?@ ?", " at "),
        (r"\b(in|ft|mm|cm)\.(?=[ ,]|$)", r"\1"),
        (r" ?:$", ""),
        (r"([0-9])' ?- ?(?=[0-9])", r"\1' "),
        (r"\b(sin|cos|tan|sqrt) ([0-9.]+)", r"\1(\2)"),
        (r"\bthru\b", "through"),
        (r"\b([0-9]+) (?:and|&) ([0-9]+/[0-9]+)", r"\1-\2"),
        (r"([0-9]['\"]?)-(?=(?:long|wide|thick|deep)\b)", r"\1 "),
        (r"\b([0-9]+)ft([0-9/.-]+)in\b", r"\1 ft \2 in"),
        (r"\b(?:center|centre)(?= (?:left|front|top) to)", "centred"),
        (r"\bleft[- ]to[- ]right\b|\bleft[-/]right\b", "left to right"),
        (r"\bfront[- ]to[- ]back\b|\bfront[-/]back\b", "front to back"),
        (r"\btop[- ]to[- ]bottom\b|\btop[-/]bottom\b", "top to bottom"),
    ),
    *phrases(
        "let",
        (r"^let (\w+) ?(?:be |is |of |: ?)(?=[0-9(])", r"let \1 = "),
        (r"^(let .*[0-9)]) ?[x×] ?(?=[0-9(])", r"\1 * "),
        (r"([0-9])(?=\()", r"\1 * "),
    ),
    *OF_PARTS,
    *OF_JOINS,
    *phrases(
        "load",
        (r"^load of ", "load "),
        (r"^load (?:on )?([a-z]\w*),? (?:of |with )?([0-9].*)$", r"load \2 on \1"),
        (r"^(load .*) (?:at|onto|over|in) (?=\w+$)", r"\1 on "),
        (r"\b(?:lbs|pounds?)\b(?! ?(?:/|per |a ))", "lb"),
        (r"\b(?:lbs?|pounds?) ?(?:/|per |a )(?:ft|foot|feet)\b", "lb per foot"),
    ),
    *phrases(
        "for",
        (
            r"^for (?:each |every )?(\w+) ?(?:=|in|from) ?(\w+) ?(?:\.\.+|to|-|through|until) ?",
            r"for \1 in \2 to ",
        ),
    ),
    *phrases("ignore allow waive suppress", (r"^\w+ (?=\S+ (?:on|here)\b)", "accept ")),
    *phrases(
        "accept",
        (r"^accept ([a-z-]+) (?!on |here|at |for |in )([a-z]+) ", r"accept \1-\2 "),
        (r"^accept ([a-z-]+) (?:at|for|in) ", r"accept \1 on "),
        (r"^accept ([\w./]+) ([a-z]+-[a-z-]+)", r"accept \2 on \1"),
        (r"^(accept \S+ on \S+?) ?(?:-|:|,|as|since) ([^\"]+)$", r'\1 because "\2"'),
    ),
    *phrases("assembly", (r"^assembly (\w+) (\w+(?:,? \w+)*)$", _in_brackets)),
    *phrases("include import", (r"^\w+ (?=\")", "use ")),
]


def rephrased(repair: LineRepair) -> Any:
    """The node of a line once it is put into the plan's words, which is told then; ``None`` where none comes of it."""
    if len(repair.text) > LONGEST:
        return None
    first = first_word(repair.text).lower().rstrip(":,")
    places = {"any", repair.place} if repair.place in {"plan", "part", "join"} else {"any", "top", first}
    whole = len(repair.text)
    if first == "stock":
        for text in stock_in_order(repair.text):
            node, _trouble = repair.attempt(text)
            if node is not None and not repair.tools.builder.problems:
                repair.apply(Edit(0, whole, text, "", (0, 0)))
                repair.wrongs.append(Wrong(0, whole, f"say `{text}`"))
                return repair.move(node)
    for phrase in _PHRASES:
        for _ in range(MOST_TIMES if phrase.places & places else 0):
            found = phrase.theirs.search(repair.text)
            instead = found and (phrase.ours(found) if callable(phrase.ours) else found.expand(phrase.ours))
            if found is None or instead is None or instead == found[0]:
                break
            repair.apply(Edit(found.start(), found.end(), instead, "", (0, 0)))
            node, _trouble = repair.attempt(repair.text)
            if node is not None and not repair.tools.builder.problems:
                repair.wrongs.append(Wrong(0, whole, f"say `{repair.text}`"))
                return repair.move(node)
    return None
