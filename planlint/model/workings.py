"""What is known while a plan is worked out: its names so far, and the names that are broken."""

from __future__ import annotations

from collections.abc import Iterable

from planlint.language.tree import Name, Statement, Tree, Word
from planlint.model.directions import SIDE_BY_WORD, Axis, Side
from planlint.model.expressions import Scope, name_of
from planlint.model.ledger import BrokenNames, FollowOn, Ledger, Refusal
from planlint.model.nearest import nearest
from planlint.model.plan import Part, Stock
from planlint.text.measures import length
from planlint.text.source import Span

AXIS_BY_WORD = {"crosswise": Axis.X, "deep": Axis.Y, "vertical": Axis.Z, "upright": Axis.Z}
"""Words for a direction, of a part's length or of the axis of a turn."""

CENTRED_BY_WORD = {axis.words: axis for axis in Axis}


class Workings:
    """The tables that statements are worked out against."""

    def __init__(self, tree: Tree, ledger: Ledger, unit: str) -> None:
        self.source = tree.source
        self.ledger = ledger
        self.unit = unit
        self.statements = tree.statements
        self.scope = Scope(unit)
        self.scope.unread = self.unread = BrokenNames(tree.unread_names)
        self.offers = self.scope.offers
        self.stocks: dict[str, Stock] = {}
        self.parts: dict[str, Part] = {}
        self.broken = {"stock": BrokenNames(), "part": BrokenNames()}
        self._read_lines: set[int] | None = None
        """Numbers of all lines that are in the tree; gathered when first needed."""

    # ------------------------------------------------------------ names

    def find_stock(self, name: Name, scope: Scope) -> Stock:
        words = name_of(name, scope)
        stock = self.stocks.get(words)
        if stock is not None:
            return stock
        raise self._unknown("stock", words, name, self.stocks)

    def find_part(self, name: Name, scope: Scope) -> Part:
        pieces = name.pieces
        words = name_of(name, scope) if pieces else name.text
        part = self.parts.get(words)
        if part is not None:
            return part
        raise self._unknown("part", words, name, self.parts)

    def _unknown(self, kind: str, words: str, name: Name, known: Iterable[str]) -> Refusal:
        if words in self.broken[kind] or words in self.unread:
            return FollowOn()
        near = self.offers.nearest(words, known)
        offer = f"; the nearest is {near}" if near else f"; write a `{kind} {words} of …` line for it"
        return Refusal(name.start, name.end, f"there is no {kind} called {words}{offer}")

    def named_twice(self, kind: str, words: str, first: Span, statement: Statement, scope: Scope) -> str:
        """That a name is taken, and where: on another line, or by an earlier turn of the same loop."""
        if first == statement.span and scope.outer is not None:
            turn = next(iter(scope.values))
            return (
                f"each turn of the loop names a {kind} {words} again: number them, such as {words}_{{{turn}}}"
            )
        line = self.ledger.line_of(first)
        return f"{kind} {words} is already named on line {line}: give one of them another name"

    def mark_broken(self, kind: str, name: Name, scope: Scope) -> None:
        """Remembers a name whose statement is dropped; a template that cannot be filled by its first letters."""
        try:
            self.broken[kind].add(name_of(name, scope))
        except Refusal:
            first = name.pieces[0]
            self.broken[kind].add(f"{first if isinstance(first, str) else ''}{{")

    def has_unread_details(self, statement: Statement) -> bool:
        """Whether lines indented under a statement could not be read: what it lacks may stand there."""
        read = self._lines_in_tree()
        starts = self.source.line_starts
        indent = statement.span.start - starts[statement.line - 1]
        for number in range(statement.line + 1, len(starts) + 1):
            line = self.source.line(number)
            words = line.strip()
            if not words or words[0] == "#":
                continue
            if len(line) - len(line.lstrip()) <= indent:
                return False
            if number not in read:
                return True
        return False

    def _lines_in_tree(self) -> set[int]:
        if self._read_lines is None:
            self._read_lines = set()
            ahead = list(self.statements)
            while ahead:
                statement = ahead.pop()
                self._read_lines.add(statement.line)
                ahead += statement.details
        return self._read_lines

    # ------------------------------------------------------------ words

    def length(self, inches: object) -> str:
        """A length in the plan's own unit, for a message."""
        return length(inches, self.unit)  # type: ignore[arg-type]

    def add(self, span: Span, says: str) -> None:
        self.ledger.add(span, says)


def side_of_word(word: Word) -> Side:
    """One of the six sides."""
    side = SIDE_BY_WORD.get(word.text)
    if side is None:
        near = nearest(word.text, SIDE_BY_WORD)
        offer = f"; the nearest is {near}" if near else ""
        raise Refusal(
            word.start, word.end, f"{word.text} is not a side: left, right, front, back, top or bottom{offer}"
        )
    return side


def in_words(words: Iterable[str], last: str = "and") -> str:
    """``top, bottom and back``."""
    listed = list(words)
    return f" {last} ".join([", ".join(listed[:-1]), listed[-1]]) if len(listed) > 1 else "".join(listed)
