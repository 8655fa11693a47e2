"""The lists of words that are written for other files, from the one table of each: run it after a change of words.

``language/vocabulary.py`` has the words, ``grammar/plan.lark`` how lines are put together, ``rules/figures/woods.toml``
the woods. From these come the grammar's terminals, the first words of lines, the words an editor colours, and the lists
of the reference. What is written is kept with the rest; a test compares.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from planlint.language.any_order import called
from planlint.language.joint_table import JOINTS
from planlint.language.vocabulary import (
    AFTER_A_LENGTH,
    LONG_WIDE,
    SIDE_WORDS,
    UNIT_BY_WORD,
    WORDS_OF_TERMINAL,
)
from planlint.model.fastener_statements import KINDS
from planlint.model.timber import names_by_kind
from planlint.text.resources import resource

_BEGIN, _END = "-- written by `python -m tests.word_lists`", "-- end of what is written"

REFERENCE_PAGES = (
    "reference.md", "lengths.md", "piece.md", "stock.md", "parts.md", "shapes.md", "joins.md", "fasteners.md",
    "joints.md", "repeats.md",
)  # fmt: skip
"""The pages of the reference, a topic each, in the order in which they are read."""

_PLACES = {
    "": ("once_a_plan", "statement", "closing"),
    "for": ("statement",),
    "assembly": ("statement", "closing"),
    "plan": ("plan_detail",),
    "part": ("part_detail",),
    "join": ("join_detail",),
}
"""The grammar's groups of lines that may stand under each kind of line."""


def written() -> Iterator[tuple[Path, str]]:
    """Each file with lists that are written, and its text as it should be."""
    grammar = resource("grammar", "plan.lark")
    terminals = "".join(f"{name}: /{pattern}/\n" for name, pattern in _terminals())
    grammar_text = _between(grammar.read_text(encoding="utf-8"), f"// {_BEGIN}\n", f"// {_END}", terminals)
    yield grammar, grammar_text
    lark = _parser(grammar_text)
    first = json.dumps(_first_words(lark)).replace("], ", "],\n").replace("{", "{\n").replace("}", "\n}\n")
    yield resource("grammar", "first_words.json"), first
    yield resource("grammar", "editor.json"), _editor(lark)
    lists = {"joints": _joint_rows, "fasteners": _fastener_rows, "stock": _wood_rows, "reference": _contents}
    for name, rows in lists.items():
        page = resource("grammar", f"{name}.md")
        text = page.read_text(encoding="utf-8")
        yield page, _between(text, f"<!-- {_BEGIN} -->\n", f"<!-- {_END} -->", "".join(rows()))


def _between(text: str, begin: str, end: str, instead: str) -> str:
    head, found, rest = text.partition(begin)
    assert found, begin
    return f"{head}{begin}{instead}{end}{rest.partition(end)[2]}"


# ---------------------------------------------------------------- the grammar's terminals

_FIGURES = r"(?:[0-9]+(?:(?:[- ][0-9]+)?\/[0-9]+|\.[0-9]+)?|\.[0-9]+)"


def _any_of(words: Iterable[str]) -> str:
    """One of some words or phrases, with any white space between the words of a phrase."""
    return "(?:" + "|".join(words).replace(" ", r"[ \t]+") + ")"


def _terminals() -> Iterator[tuple[str, str]]:
    yield "NUMBER", _number()
    ends = {
        "TRADITION": r"(?![\w-])",
        "FUNCTION": r"(?=[ \t]*\()",  # Only before its bracket: a length may be called `tan`.
        # `tenon 1 long`, and no name of a length: `tenon long`.
        "NOUN": _before_a_length(LONG_WIDE),
        "FASTENER_SIZE": _before_a_length((*LONG_WIDE, "from")),
        "GAP": _before_a_length(AFTER_A_LENGTH),
        "TAPED": rf"(?=[ \t]+{_any_of(SIDE_WORDS)}\b)",
        "TAPER": rf"(?=[ \t]+{_any_of(SIDE_WORDS)}\b)",
        "EDGES": r"(?=[ \t]+cut\b)",
        **dict.fromkeys(
            ("CUTOUT", "HOLE", "ARCH", "BOW", "CHAMFER", "ROUNDED"), _before_a_length(AFTER_A_LENGTH)
        ),
        "FASTENER_WORD": r"(?=[ \t]*(?:,|$))",
        # The detail, not a number of a loop called `children`: it stands alone.
        "CHILDREN": r"(?=[ \t]*$)",
        **dict.fromkeys(("COVER", "PURPOSE", "METAL"), r"(?![\w-])"),
        "FASTENER": _before_a_length((*LONG_WIDE, "from")),
    }
    for name, words in WORDS_OF_TERMINAL.items():
        if name not in {"LIES_DEEP", "FACE_SCREWS"}:
            yield f"{name}.2", _any_of(words) + ends.get(name, r"\b")


def _before_a_length(but: Iterable[str]) -> str:
    """That a length or a word follows, other than some: else the word before is the name of a length itself."""
    return rf"(?=[ \t]+(?:[0-9.(]|(?!{_any_of(but)}\b)[^\W\d]))"


def _number() -> str:
    """``3/4``, ``1-1/2`` (tight), ``1 1/2`` (one space), ``0.75``, each with or without a unit, or feet and inches.

    ``in`` is a unit only where what follows could follow a length; else it is the keyword: ``pockets 2 in back``.
    """

    def words(*units: str) -> list[str]:
        return [
            word for word, key in UNIT_BY_WORD.items() if word.isalpha() and key in units and word != "in"
        ]

    follows = rf"(?=[ \t]*(?:$|[^\w \t]|{_any_of((*AFTER_A_LENGTH, 'radius', 'through'))}(?![\w.{{])))"
    inch_words = "|".join([*words("in"), f"in{follows}"])
    inches = rf'(?:"|[ \t]*(?:{inch_words})\b)'
    feet = rf"(?:'|[ \t]*{_any_of(words('ft'))}\b)"
    metric = _any_of(words("mm", "cm", "m"))
    return rf"{_FIGURES}(?:{feet}(?:[ \t]*{_FIGURES}{inches}?)?|{inches}|[ \t]*{metric}\b)?"


# ---------------------------------------------------------------- the first words of lines


def _parser(grammar: str) -> Any:
    from lark import Lark  # noqa: PLC0415 - for the build alone

    return Lark(grammar, parser="lalr", start=["line", "expression"], maybe_placeholders=True)


def _first_words(lark: Any) -> dict[str, list[str]]:
    texts = {
        terminal.name: terminal.pattern.value for terminal in lark.terminals if terminal.pattern.type == "str"
    }
    rows: dict[str, dict[str, None]] = {}

    def gather(rule: str, found: dict[str, None]) -> None:
        for each in lark.rules:
            if each.origin.name != rule:
                continue
            first = each.expansion[0]
            if first.is_term:
                words = WORDS_OF_TERMINAL.get(first.name, (texts.get(first.name, ""),))
                found.update(dict.fromkeys(word for word in words if word.isalpha()))
            elif first.name != "sum":
                gather(first.name, found)

    for place, groups in _PLACES.items():
        rows[place] = {}
        for group in groups:
            gather(group, rows[place])
    return {place: list(words) for place, words in rows.items()}


# ---------------------------------------------------------------- words for an editor


def _editor(lark: Any) -> str:
    """Highlighting rules in the JSON form that many editors read."""
    strings = {terminal.pattern.value for terminal in lark.terminals if terminal.pattern.type == "str"}
    keywords = {word for word in strings if word.isalpha()}
    phrases = {word for words in WORDS_OF_TERMINAL.values() for phrase in words for word in phrase.split()}
    sides = {*WORDS_OF_TERMINAL["SIDE"], *WORDS_OF_TERMINAL["LOOK"]}
    units = {word for name in ("UNIT", "LOAD_UNIT") for word in WORDS_OF_TERMINAL[name]}
    statements = set(_statements(lark))
    joints = phrases - sides - units - keywords
    words = keywords - sides - statements | ({"end"} & keywords)
    words |= {word for phrase in called("meant") for word in phrase.split()} - joints - statements

    def one_of(group: Iterable[str]) -> str:
        return "|".join(sorted(group))

    def rule(name: str, match: str, **more: Any) -> dict[str, Any]:
        return {"name": f"{name}.plan", "match": match, **more}

    def captured(**names: str) -> dict[str, Any]:
        return {number.removeprefix("n"): {"name": f"{name}.plan"} for number, name in names.items()}

    figures = _FIGURES.replace(r"\/", "/").removeprefix("(?:").removesuffix(")")
    number = rf"(?<![\w])({figures})\s*(?:(['\"])|({one_of(units)})\b)?"
    repository = {
        "comment": rule("comment.line.number-sign", "#.*$"),
        "text": rule("string.quoted.double", r"(?<![0-9])\"[^\"]*\""),
        "statement": {
            "match": rf"^\s*({one_of(statements)})\b",
            "captures": captured(n1="keyword.control"),
        },
        "number": {
            "match": number,
            "captures": captured(n1="constant.numeric", n2="keyword.other.unit", n3="keyword.other.unit"),
        },
        "side": rule("constant.language.side", rf"\b(?:{one_of(sides)})\b"),
        "joint": rule("constant.language.joint", rf"\b(?:{one_of(joints)})\b"),
        "word": rule("keyword.other", rf"\b(?:{one_of(words)})\b"),
        "template": rule("variable.other", r"\{[^{}]*\}"),
    }
    whole = {
        "name": "Plan language",
        "scopeName": "source.plan",
        "fileTypes": ["plan"],
        "comment": f"For any editor that reads highlighting grammars in JSON. {_BEGIN[3:].capitalize()}.",
        "patterns": [{"include": f"#{name}"} for name in repository],
        "repository": repository,
    }
    return json.dumps(whole, indent=2) + "\n"


def _statements(lark: Any) -> Iterable[str]:
    return _first_words(lark)[""]


# ---------------------------------------------------------------- lists of the reference


def _contents() -> Iterator[str]:
    """The pages of the reference and their headings, each a link to its place."""
    for page in REFERENCE_PAGES:
        text = re.sub(r"^```.*?^```", "", resource("grammar", page).read_text("utf-8"), flags=re.M | re.S)
        for marks, heading in re.findall(r"^(##?) (.+)$", text, re.MULTILINE):
            kept = (one for one in heading.lower() if one.isalnum() or one in " -_")
            place = f"#{''.join(kept).replace(' ', '-')}" if marks == "##" else ""
            yield f"{'  ' * (len(marks) - 1)}- [{heading}]({page}{place})\n"


def _joint_rows() -> Iterator[str]:
    yield "| joint | measures | words |\n|---|---|---|\n"
    rows: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for joint, takes in JOINTS.items():
        rows.setdefault((tuple(takes.measures), takes.words), []).append(joint)
    for (measures, words), joints in rows.items():
        cells = (", ".join(f"`{each}`" for each in group) or "none" for group in (joints, measures, words))
        yield f"| {' | '.join(cells)} |\n"


def _fastener_rows() -> Iterator[str]:
    yield "| fastener | sizes | words |\n|---|---|---|\n"
    for kind, takes in KINDS.items():
        cells = (
            ", ".join(f"`{each}`" for each in group) or "none" for group in ([kind], takes.sizes, takes.words)
        )
        yield f"| {' | '.join(cells)} |\n"


def _wood_rows() -> Iterator[str]:
    for kind, names in names_by_kind().items():
        yield f"- {kind}: {', '.join(names)}\n"


def main() -> None:
    """Writes every list anew where it is not as it should be."""
    for path, text in written():
        if path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")
            print(f"{path.name} is written anew")


if __name__ == "__main__":
    main()
