"""The same piece written another way: other names, another order, another unit, mirrored.

Each function takes the text of a plan that can be read and gives another text. They work on the tree of the plan and
replace stretches of its text, so that comments and the spelling of all else stay.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from random import Random

from planlint.language.expression_tree import Expression, Name, Number, Operation
from planlint.language.reader import read
from planlint.language.syntax_tree import (
    AcceptLine,
    AssemblyLine,
    EndLine,
    EyeHeight,
    FastenersLine,
    For,
    HungAt,
    JoinLine,
    Let,
    PartDetails,
    PartItem,
    PartLine,
    PlacingLine,
    PlanHead,
    PocketsLine,
    RemovalItem,
    RowOf,
    ScrewsLine,
    SizeItem,
    SpacingItem,
    Statement,
    StockLine,
    TraditionItem,
    Tree,
    TrimItem,
    Turned,
    UnitLine,
    UseAs,
)
from planlint.model.directions import SIDE_BY_WORD, Axis, side_of
from planlint.text.edits import TextEdit, apply
from planlint.text.measures import INCH_PER_UNIT
from planlint.text.source import PlanText

Edit = tuple[int, int, str]
"""A stretch of one statement's line, and what takes its place."""


def tree_of(text: str) -> Tree:
    tree, mistakes = read(PlanText("given.plan", text))
    assert not mistakes, mistakes
    return tree


def _edited(text: str, edits_of: Callable[[Statement, Statement | None], Iterable[Edit]]) -> str:
    """The text with the edits of every statement; the second one given is the statement it stands under."""
    made = []
    for statement, above in all_statements(tree_of(text).statements):
        for start, end, new in edits_of(statement, above):
            made.append(TextEdit(statement.at(start, end), new))
    return apply(text, made)


def all_statements(
    statements: Iterable[Statement], above: Statement | None = None
) -> list[tuple[Statement, Statement | None]]:
    """Every statement, each with the one it stands under."""
    found = []
    for statement in statements:
        found.append((statement, above))
        found += all_statements(statement.details, statement)
    return found


# ---------------------------------------------------------------- other names


def new_name(name: str) -> str:
    """What ``renamed`` calls a name: letter by letter, so that templates and what they make stay together.

    The alphabet is turned round, so that any order by name is turned round too.
    """
    return "".join(_OTHER.get(letter, letter) for letter in name)


_LETTERS = "abcdefghijklmnopqrstuvwxyz"
# Two letters for one: no word of the language comes out.
_OTHER = {letter: f"{other}q" for letter, other in zip(_LETTERS, reversed(_LETTERS), strict=True)}


def renamed(text: str) -> str:
    """Every part, stock, let, loop number and join under another name."""
    return _edited(text, lambda statement, _: _renamings(statement, text))


def _renamings(statement: Statement, text: str) -> Iterator[Edit]:
    node = statement.node
    line = text[statement.span.start : statement.span.end]
    if isinstance(node, AcceptLine):
        target = node.target
        yield target.start, target.end, "/".join(map(_new_target, target.text.split("/")))
        return
    if isinstance(node, JoinLine) and node.like is not None:
        like = node.like
        named = line[like.start : like.end]
        yield like.start, like.end, "/".join(map(_new_target, named.split("/")))
        node = node._replace(like=None)
    for name in _names_in(node):
        written = line[name.start : name.end]
        assert name.text or name.pieces
        yield name.start, name.end, new_name(written)


def _new_target(target: str) -> str:
    name, dot, side = target.rpartition(".")
    return f"{new_name(name)}.{side}" if dot and side in SIDE_BY_WORD else new_name(target)


def _names_in(node: object) -> Iterator[Name]:
    """The names of a node, a template as one."""
    if isinstance(node, Name):
        yield node
    elif isinstance(node, tuple):
        for each in node:
            yield from _names_in(each)


# ---------------------------------------------------------------- another order


def reordered(text: str, chance: Random) -> str:
    """Statements, and details under them, in any other order; comments are left out."""
    return "\n".join(_shuffled(tree_of(text).statements, text, chance, 0)) + "\n"


def turned_round(text: str) -> str:
    """The last statement first, so that another part is the first and another join the one that places it."""
    return "\n".join(_shuffled(tree_of(text).statements, text, None, 0)) + "\n"


def _shuffled(statements: Iterable[Statement], text: str, chance: Random | None, depth: int) -> Iterator[str]:
    order = [each for each in statements if not isinstance(each.node, EndLine)]
    if chance is None:
        order.reverse()
    else:
        chance.shuffle(order)
    for statement in order:
        line = text[statement.span.start : statement.span.end]
        yield "    " * depth + _names_turned_round(statement, line)
        yield from _shuffled(statement.details, text, chance, depth + 1)
        if isinstance(statement.node, AssemblyLine):
            yield "    " * depth + "end"


def _names_turned_round(statement: Statement, line: str) -> str:
    """``part a, b of …`` names its parts the other way round."""
    node = statement.node
    if not isinstance(node, PartLine):
        return line
    names = [line[name.start : name.end] for name in node.names]
    return line[: node.names[0].start] + ", ".join(reversed(names)) + line[node.names[-1].end :]


# ---------------------------------------------------------------- another unit


def in_unit(text: str, unit: str) -> str:
    """Every length in another unit, exactly; one that the plan writes with its unit stays.

    Lets are plain numbers until they are used, so they keep their numbers and are converted there.
    """
    statements = tree_of(text).statements
    words = [each.node.unit.text for each, _ in all_statements(statements) if isinstance(each.node, UnitLine)]
    was = words[0] if words else "inch"
    factor = _inches(was) / _inches(unit)
    lengths = {
        each.node.name.text
        for each, _ in all_statements(statements)
        if isinstance(each.node, Let) and any(number.unit for number in numbers_in(each.node.value))
    }

    def edits(statement: Statement, _: Statement | None) -> Iterator[Edit]:
        node = statement.node
        if isinstance(node, UnitLine):
            yield node.unit.start, node.unit.end, unit
        elif isinstance(node, PlanHead) and not words:
            end = statement.span.end - statement.span.start
            yield end, end, f"\n    unit {unit}"
        line = text[statement.span.start : statement.span.end]
        for length in _lengths_in(node):
            start, end = _with_brackets(line, length)
            if _has_unit(length, lengths):
                assert not isinstance(length, Operation), line
            elif isinstance(length, Number):
                yield start, end, _written(length.value * factor)
            else:
                yield start, end, f"(({line[start:end]}) * {_written(factor)})"

    return _edited(text, edits)


def _inches(unit: str) -> Fraction:
    return Fraction(INCH_PER_UNIT["in" if unit == "inch" else unit])


def _written(value: Fraction) -> str:
    if value < 0:
        return f"(0 - {_written(-value)})"
    whole, rest = divmod(value.numerator, value.denominator)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}/{value.denominator}" if whole else f"{rest}/{value.denominator}"


def _has_unit(expression: Expression, lengths: set[str]) -> bool:
    return any(number.unit for number in numbers_in(expression)) or any(
        name.text in lengths for name in _names_in(expression)
    )


def numbers_in(node: object) -> Iterator[Number]:
    """The numbers written in a statement or a part of one."""
    if isinstance(node, Number):
        yield node
    elif isinstance(node, tuple):
        for each in node:
            yield from numbers_in(each)


def _with_brackets(line: str, expression: Expression) -> tuple[int, int]:
    """The stretch of an expression; brackets right round it belong to it."""
    start, end = expression.start, expression.end
    while line[start:end].count("(") > line[start:end].count(")"):
        end = line.index(")", end) + 1
    while line[start:end].count(")") > line[start:end].count("("):
        start = line.rindex("(", 0, start)
    return start, end


def _lengths_in(node: object) -> Iterator[Expression]:
    """The expressions of a statement that stand for a length."""
    found: tuple[Expression | None, ...] = ()
    if isinstance(node, StockLine):
        found = node.thickness, node.width, node.length
    elif isinstance(node, PartLine | PartDetails):
        for item, _, _ in node.items:
            yield from _item_lengths(item)
    elif isinstance(node, JoinLine):
        yield from _lengths_in(node.tradition)
    elif isinstance(node, TraditionItem):
        found = *(measure.value for measure in node.measures), *_row_lengths(node.row)
    elif isinstance(node, EyeHeight):
        found = (node.height,)
    elif isinstance(node, UseAs):
        found = (node.mattress,)
    elif isinstance(node, PlacingLine):
        found = (node.distance,)
    elif isinstance(node, PocketsLine):
        found = _row_lengths(node)
    elif isinstance(node, ScrewsLine):
        found = (node.length,)
    elif isinstance(node, FastenersLine):
        sizes = (each.value for each in node.sizes if each.word.text != "gauge")
        found = *_row_lengths(node.row), *sizes, *(node.line or ())[:1]
    yield from (each for each in found if each is not None)


def _row_lengths(row: RowOf | PocketsLine | None) -> tuple[Expression | None, ...]:
    return (*(row.at or ()), row.every, row.first, row.last) if row is not None else ()


def _item_lengths(item: PartItem) -> Iterator[Expression]:
    if isinstance(item, SizeItem):
        yield item.value
    elif isinstance(item, RemovalItem):
        yield from (*item.depths, *(item.run or ()))
        yield from (each for each in (item.offset, item.beyond) if each is not None)
    elif isinstance(item, TrimItem):
        yield from item.sizes
    elif isinstance(item, HungAt):
        yield item.height
    elif isinstance(item, SpacingItem) and item.distance is not None:
        yield item.distance
    if isinstance(item, RemovalItem | TrimItem):
        for point in item.points:
            yield from (point.deep, point.along)


# ---------------------------------------------------------------- mirrored

_PAIRS = {Axis.X: ("left", "right"), Axis.Y: ("front", "back")}
_WHOLE = re.compile(r'"[^"]*"|left\s+to\s+right|front\s+to\s+back|\w+')


def mirrored(text: str, axis: Axis) -> str:
    """The piece as a mirror shows it: left for right (``Axis.X``) or front for back (``Axis.Y``)."""
    one, other = _PAIRS[axis]
    swap = {one: other, other: one}

    def edits(statement: Statement, above: Statement | None) -> Iterator[Edit]:
        line = text[statement.span.start : statement.span.end]
        node = statement.node
        keep_from = 0
        if isinstance(node, JoinLine) and node.name is not None:
            keep_from = node.name.end
        elif isinstance(node, PartLine):
            keep_from = node.stock.end
        if not isinstance(node, Let | For | StockLine | UnitLine):
            for match in _WHOLE.finditer(line, keep_from):
                new = swap.get(match.group())
                if new is not None and not _sets_back(line, match.start()):
                    yield match.start(), match.end(), new
        if isinstance(node, PartLine | PartDetails):
            for item, _, _ in node.items:
                if isinstance(item, Turned) and _TURNS[item.about.text] is not axis:
                    start, end = _with_brackets(line, item.angle)
                    yield start, end, f"(0 - ({line[start:end]}))"
        if isinstance(node, PocketsLine) and above is not None:
            yield from _from_the_other_end(node, above, line, axis)

    return _edited(text, edits)


_TURNS = {"vertical": Axis.Z, "crosswise": Axis.X, "deep": Axis.Y}


def _sets_back(line: str, at: int) -> bool:
    """``set back 1/4 from front``: this word is no side."""
    return line[:at].split() == ["set"] and line[at:].startswith("back")


def _from_the_other_end(node: PocketsLine, above: Statement, line: str, axis: Axis) -> Iterator[Edit]:
    """A row ``every D`` starts at the left or the front where the plan does not say: in the mirror, at the other."""
    if node.every is None or node.origin is not None:
        return
    join = above.node
    assert isinstance(join, JoinLine)
    drilled = join.a
    if node.face.part is not None and join.b.part is not None and node.face.part.text == join.b.part.text:
        drilled = join.b
    along = 3 - SIDE_BY_WORD[drilled.side.text].axis - SIDE_BY_WORD[node.face.side.text].axis
    if along == axis:
        at = line.rindex(" in ", 0, node.face.start)
        yield at, at, f" of {side_of(axis, 1).value}"
