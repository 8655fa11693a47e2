"""Rows of pockets and of other fasteners as nodes of the tree, while a line is parsed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from lark import Token

from planlint.language import syntax_tree
from planlint.language.expression_tree import Name
from planlint.language.line_nodes import Basics
from planlint.language.syntax_tree import Word

_Row = Callable[["Rows", list[Any]], syntax_tree.RowOf]


def _pockets(row: _Row) -> Callable[[Rows, list[Any]], syntax_tree.PocketsLine]:
    """Pockets in such a row: its words, then the face and whether they are plugged."""

    def build(self: Rows, children: list[Any]) -> syntax_tree.PocketsLine:
        *places, face, plugged = children
        at = row(self, places)
        return syntax_tree.PocketsLine(
            at.count, at.at, at.every, at.first, at.origin, _face(face), plugged is not None, at.last
        )

    return build


def _row(*told: str) -> _Row:
    """A row of which a line tells just these, in that order."""
    return lambda _self, children: syntax_tree.RowOf(**dict(zip(told, children, strict=True)))


class Rows(Basics):
    """Builds the nodes of what holds a joint in a row."""

    def all_of(self, children: list[Any]) -> tuple[Any, ...]:
        return tuple(children)

    sums = fastener_line = all_of
    row_counted, row_at = _row("count"), _row("at", "origin")
    row_every, row_to = _row("every", "first", "origin"), _row("count", "first", "last", "origin")
    row_every_to = _row("every", "first", "last", "origin")
    pockets_counted, pockets_at, pockets_every = _pockets(row_counted), _pockets(row_at), _pockets(row_every)
    pockets_to, pockets_every_to = _pockets(row_to), _pockets(row_every_to)

    def row_long(self, children: list[Any]) -> syntax_tree.SizeItem:
        value, word = children
        return syntax_tree.SizeItem(value, word, None)

    def through(self, children: list[Any]) -> syntax_tree.SideOf | Name:
        found = children[0]
        return found if isinstance(found, Name) else _face(found)

    def fastener_measure(self, children: list[Any]) -> syntax_tree.SizeItem:
        first, last = children
        value, word = (last, first) if isinstance(first, Word) else (first, last)
        return syntax_tree.SizeItem(value, word, None)

    def fasteners(self, children: list[Any]) -> syntax_tree.FastenersLine:
        kind, row, through, *said = children
        if isinstance(row, syntax_tree.SizeItem):  # `slides 18 long`
            row, said = syntax_tree.RowOf(), [row, *said]
        sizes = tuple(each for each in said if isinstance(each, syntax_tree.SizeItem))
        lines = [each for each in said if type(each) is tuple]
        words = [self.word(each) if isinstance(each, Token) else each for each in said]
        words = [each for each in words if isinstance(each, Word)]
        threads = [each for each in words if each.text[-1].isdigit() or each.text[0].isdigit()]
        told: set[str] = set()
        named = [*(each.word for each in sizes), *(word for _, word in lines), *threads]
        kinds = [*(each.word.text for each in sizes), *("line" for _ in lines), *("thread" for _ in threads)]
        for word, what in zip(named, kinds, strict=True):
            if what in told:
                says = f"`{word.text}` tells what was told before it: keep one of the two"
                self.problems.append((word.start, word.end, says))
            told.add(what)
        return syntax_tree.FastenersLine(
            kind,
            row,
            through,
            sizes,
            threads[0] if threads else None,
            lines[0] if lines else None,
            tuple(each for each in words if each not in threads),
        )

    def screws_to_suit(self, _children: list[Any]) -> syntax_tree.ScrewsLine:
        return syntax_tree.ScrewsLine(None, None, None)


def _face(found: Word | syntax_tree.SideOf) -> syntax_tree.SideOf:
    return syntax_tree.SideOf(None, found, found.start, found.end) if isinstance(found, Word) else found
