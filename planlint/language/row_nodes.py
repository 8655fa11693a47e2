"""Rows of pockets and of other fasteners as nodes of the tree, while a line is parsed."""

from __future__ import annotations

from typing import Any

from lark import Token

from planlint.language import syntax_tree
from planlint.language.line_nodes import Basics
from planlint.language.syntax_tree import Name, Word


class Rows(Basics):
    """Builds the nodes of what holds a joint in a row."""

    def sums(self, children: list[Any]) -> tuple[Any, ...]:
        return tuple(children)

    def pockets_counted(self, children: list[Any]) -> syntax_tree.PocketsLine:
        count, face, plugged = children
        return syntax_tree.PocketsLine(count, None, None, None, None, _face(face), plugged is not None)

    def pockets_at(self, children: list[Any]) -> syntax_tree.PocketsLine:
        at, origin, face, plugged = children
        return syntax_tree.PocketsLine(None, at, None, None, origin, _face(face), plugged is not None)

    def pockets_every(self, children: list[Any]) -> syntax_tree.PocketsLine:
        every, first, origin, face, plugged = children
        return syntax_tree.PocketsLine(None, None, every, first, origin, _face(face), plugged is not None)

    def pockets_to(self, children: list[Any]) -> syntax_tree.PocketsLine:
        count, first, last, origin, face, plugged = children
        return syntax_tree.PocketsLine(
            count, None, None, first, origin, _face(face), plugged is not None, last
        )

    def pockets_every_to(self, children: list[Any]) -> syntax_tree.PocketsLine:
        every, first, last, origin, face, plugged = children
        return syntax_tree.PocketsLine(
            None, None, every, first, origin, _face(face), plugged is not None, last
        )

    def row_counted(self, children: list[Any]) -> syntax_tree.RowOf:
        return syntax_tree.RowOf(count=children[0])

    def row_at(self, children: list[Any]) -> syntax_tree.RowOf:
        return syntax_tree.RowOf(at=children[0], origin=children[1])

    def row_every(self, children: list[Any]) -> syntax_tree.RowOf:
        every, first, origin = children
        return syntax_tree.RowOf(every=every, first=first, origin=origin)

    def row_to(self, children: list[Any]) -> syntax_tree.RowOf:
        count, first, last, origin = children
        return syntax_tree.RowOf(count=count, first=first, last=last, origin=origin)

    def row_every_to(self, children: list[Any]) -> syntax_tree.RowOf:
        every, first, last, origin = children
        return syntax_tree.RowOf(every=every, first=first, last=last, origin=origin)

    def row_long(self, children: list[Any]) -> syntax_tree.Measure:
        value, word = children
        return syntax_tree.Measure(value, word, None)

    def through(self, children: list[Any]) -> syntax_tree.SideOf | Name:
        found = children[0]
        return found if isinstance(found, Name) else _face(found)

    def fastener_measure(self, children: list[Any]) -> syntax_tree.Measure:
        first, last = children
        value, word = (last, first) if isinstance(first, Word) else (first, last)
        return syntax_tree.Measure(value, word, None)

    def fastener_line(self, children: list[Any]) -> tuple[Any, ...]:
        return tuple(children)

    def fasteners(self, children: list[Any]) -> syntax_tree.FastenersLine:
        kind, row, through, *said = children
        if isinstance(row, syntax_tree.Measure):  # `slides 18 long`
            row, said = syntax_tree.RowOf(), [row, *said]
        sizes = tuple(each for each in said if isinstance(each, syntax_tree.Measure))
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
