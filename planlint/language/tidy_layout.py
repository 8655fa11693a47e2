"""One layout for all plans: the same indentation, spacing, spelling of lengths and order of details.

Comments stay where they are: those on their own lines with the line below them, those behind a line with it. Blank
lines stay, but not two together. Whether a plan still says the same is for the caller to prove.
"""

import re
from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple, get_args

from planlint.language.expression_tree import Number
from planlint.language.plain_lines import comment_start, line_at, line_end
from planlint.language.reader import read
from planlint.language.syntax_tree import (
    CutItem,
    EndLine,
    Flag,
    JoinDetail,
    JoinLine,
    Let,
    PartItem,
    PartLine,
    SizeItem,
    Statement,
    StockLine,
    TrimItem,
    UnitLine,
)
from planlint.language.tree_text import said_in
from planlint.text.edits import apply
from planlint.text.source import PlanText

_STEP = "    "
"""How much further a detail is indented than what it stands under."""
_ORDER = {kind: number for number, kind in enumerate(get_args(JoinDetail))}
"""Details of a join: what it is, where A sits, how it is held; the tree names them in that order."""
_ITEMS = {kind: number for number, kind in enumerate(get_args(PartItem))}
"""Details of a part likewise."""


class _PlanLine(NamedTuple):
    """A line of the plan, or a gap: what stands at its start, the words, and the comment behind them."""

    depth: int
    words: str
    comment: str
    statement: Statement | None


def tidied(source: PlanText) -> str:
    """The text of a plan in the one layout; line ends as in its first line. A plan with mistakes stays as it is."""
    tree, mistakes = read(source)
    if mistakes:
        return source.text
    if tree.plain:
        return tidied(PlanText(source.path, apply(source.text, tree.plain), source.byte_order_mark))
    end = line_end(source.text)
    gatherer = _Gatherer(source, decimals=_unit(tree.statements) not in {"in", "ft"})
    block = [line for statement in tree.statements for line in gatherer.block(statement, 0)]
    block += gatherer.gap(len(source.text), 0)
    text = end.join(_laid_out(block))
    return text + end if text else source.text and end


# ---------------------------------------------------------------- lines and the order of details


def _unit(statements: Iterable[Statement]) -> str:
    """The unit of a plan's bare numbers."""
    for statement in statements:
        for each in (statement, *statement.details):
            if isinstance(each.node, UnitLine):
                return each.node.unit.text
    return "in"


class _Gatherer:
    """Walks through a text once and gives each line to the statement that it belongs to."""

    def __init__(self, source: PlanText, *, decimals: bool) -> None:
        self.text = source.text
        self.decimals = decimals
        self.at = 0

    def gap(self, until: int, depth: int) -> list[_PlanLine]:
        """Blank lines and comments from here to a place."""
        lines = self.text[self.at : until].split("\n")
        self.at = until
        if until < len(self.text) or not lines[-1].strip():
            lines.pop()  # The white space in front of the statement itself, or nothing.
        return [_PlanLine(depth, "", line.strip(), None) for line in lines]

    def block(self, statement: Statement, depth: int) -> list[_PlanLine]:
        ends = isinstance(statement.node, EndLine)  # It closes the assembly that it is told under.
        found = self.gap(statement.span.start, depth)
        found.append(self._own(statement, depth - 1 if ends else depth))
        inner = [self.block(detail, depth + 1) for detail in statement.details]
        if isinstance(statement.node, JoinLine):
            inner = _in_order(statement.details, inner)
        return found + [line for lines in inner for line in lines]

    def _own(self, statement: Statement, depth: int) -> _PlanLine:
        _, stop, self.at = line_at(self.text, statement.span)
        behind = self.text[statement.span.end : stop]
        words = _spelt(self.text[statement.span.start : statement.span.end], statement.node, self.decimals)
        words = in_order(words, statement.node)
        return _PlanLine(depth, spaced(words), behind[comment_start(behind) :].strip(), statement)


def _in_order(details: tuple[Statement, ...], blocks: list[list[_PlanLine]]) -> list[list[_PlanLine]]:
    """A join's details in the usual order; rows of pockets among themselves keep theirs. A blank line or a comment
    between them is a heading that the builder set, and then nothing is moved."""
    if any(line.statement is None for block in blocks for line in block):
        return blocks
    order = sorted(range(len(details)), key=lambda index: _ORDER[type(details[index].node)])
    return [blocks[index] for index in order]


# ---------------------------------------------------------------- the words of a line


def _spelt(words: str, node: object, decimals: bool) -> str:
    """Lengths in inches as fractions, `3/4` for `0.75`, with `in` for an inch mark; metric ones as they are."""
    for number in sorted(said_in(node, Number), key=lambda each: -each.start):
        said = words[number.start : number.end]
        bare = said.removesuffix('"').removesuffix("inches").removesuffix("inch").removesuffix("in").rstrip()
        inches = bare != said
        if (
            "'" in said
            or any(mark in said for mark in ("ft", "f", "m"))
            or not (inches or number.unit is None)
        ):
            continue
        if "." in bare and (inches or not decimals):
            bare = _fraction(number.value) or bare
        words = f"{words[: number.start]}{bare}{' in' if inches else ''}{words[number.end :]}"
    return words


def in_order(words: str, node: object) -> str:
    """The details on a part's line in the usual order: its size, how it lies, what is cut from it, and the rest."""
    if not isinstance(node, PartLine) or _sorted_items(node) == list(node.items):
        return words
    told = read(PlanText("", words))[0].statements  # Lengths spelt anew have moved it all.
    found = told[0].node if told else None
    if not isinstance(found, PartLine) or not found.items:
        return words
    items = [words[start:end] for _, start, end in _sorted_items(found)]
    return ", ".join([words[: found.items[0][1]].rstrip().removesuffix(",").rstrip(), *items])


def _sorted_items(node: PartLine) -> list[tuple[PartItem, int, int]]:
    return sorted(node.items, key=lambda each: _rank(each[0]))


def _rank(item: PartItem) -> int:
    if isinstance(item, SizeItem):
        return ("long", "wide", "thick").index(item.word.text) if item.word.text != "deep" else 2
    name = item.name if isinstance(item, Flag) else ""
    if name in {"upright", "crosswise", "deep"}:
        return 3
    return 4 if name == "facing" else 5 + _ITEMS[CutItem if isinstance(item, TrimItem) else type(item)]


def _fraction(value: Fraction) -> str:
    """A value as the mark of a rule, ``1-3/4``; empty where it is none down to 1/64."""
    if 64 % value.denominator:
        return ""
    whole, rest = divmod(value, 1)
    return f"{whole}-{rest}" if whole and rest else str(whole or rest)


def spaced(words: str) -> str:
    """One space between words, none before a comma, one behind it; `1 1/2` written tight; quoted text as it is."""
    pieces = []
    for number, piece in enumerate(re.split(r'((?<!\d)"[^"]*")', words)):  # An inch mark opens no quote.
        pieces.append(piece if number % 2 else _spaced(piece))
    return "".join(pieces)


def _spaced(words: str) -> str:
    lead = " " if words[:1].isspace() else ""
    trail = " " if words[-1:].isspace() else ""
    out: list[str] = []
    for token in words.replace(",", ", ").replace(":", ": ").split():
        if token == "," and out:
            out[-1] += ","
        elif out and _mixed(out[-1], token):
            out[-1] += f"-{token}"
        else:
            out.append(token)
    line = " ".join(out)
    for mark in "=*":
        pieces = line.split(mark)
        line = f" {mark} ".join(piece.strip() for piece in pieces) if len(pieces) > 1 else line
    line = line.replace("( ", "(").replace(" )", ")").replace(" ,", ",").replace(" :", ":")
    return f"{lead}{line}{trail}" if line else lead or trail


def _mixed(before: str, token: str) -> bool:
    """Whether two words are one mixed number written with a space: `1 1/2`."""
    top, slash, rest = token.partition("/")
    whole = before.rpartition("(")[2]
    return bool(slash) and whole.isdigit() and top.isdigit() and rest.rstrip(',")').isdigit()


# ---------------------------------------------------------------- columns


def _laid_out(block: list[_PlanLine]) -> list[str]:
    """The lines as text: columns of `let` and `stock`, comments in line, no two blank lines together."""
    aligned = _columns(block)
    out: list[str] = []
    for line in aligned:
        text = _STEP * line.depth + (line.words or line.comment) if line.words or line.comment else ""
        if text or (out and out[-1]):
            out.append(text if not line.words or not line.comment else f"{text}\0{line.comment}")
    while out and not out[-1]:
        out.pop()
    return _comments(out)


def _columns(block: list[_PlanLine]) -> list[_PlanLine]:
    """Neighbouring `stock` lines with their `of`, and neighbouring `let` lines with their `=`, in one column."""
    out = list(block)
    start = 0
    while start < len(out):
        mark = _mark(out[start])
        end = start + 1
        while mark and end < len(out) and _mark(out[end]) == mark and out[end].depth == out[start].depth:
            end += 1
        if mark and end - start > 1:
            heads = [line.words.partition(mark) for line in out[start:end]]
            wide = max(len(head) for head, _, _ in heads)
            for index, (head, _, rest) in enumerate(heads):
                out[start + index] = out[start + index]._replace(words=f"{head:<{wide}}{mark}{rest}")
        start = end
    return out


def _mark(line: _PlanLine) -> str:
    node = line.statement.node if line.statement is not None else None
    if isinstance(node, StockLine):
        return " of "
    return " = " if isinstance(node, Let) else ""


def _comments(lines: list[str]) -> list[str]:
    """Comments behind neighbouring lines start in one column, two spaces behind the longest of them."""
    out = list(lines)
    start = 0
    while start < len(out):
        end = start
        while end < len(out) and "\0" in out[end]:
            end += 1
        if end == start:
            start += 1
            continue
        wide = max(len(line.partition("\0")[0]) for line in out[start:end])
        for index in range(start, end):
            words, _, comment = out[index].partition("\0")
            out[index] = f"{words:<{wide}}  {comment}"
        start = end
    return out
