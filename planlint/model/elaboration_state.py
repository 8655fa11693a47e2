"""What is known while a plan is worked out: its names so far, and the names that are broken."""

from collections.abc import Iterable

from planlint.language.expression_tree import Name
from planlint.language.syntax_tree import Statement, Tree, Word
from planlint.model.directions import SIDE_BY_WORD, Axis, Flips, Side
from planlint.model.expressions import name_of
from planlint.model.foreign_lines import Elsewhere
from planlint.model.mirrored_parts import mirrored_part
from planlint.model.mistake_log import FollowOn, Missing, MistakeLog, Refusal
from planlint.model.nearest_name import nearest, offered
from planlint.model.plan import Part
from planlint.model.provenance import JoinSaid, PartSaid, SpacingSaid, StockSaid
from planlint.model.scope import BrokenNames, FileScope, Scope
from planlint.model.stock import Stock
from planlint.text.measures import length
from planlint.text.source import Span

AXIS_BY_WORD = {"crosswise": Axis.X, "deep": Axis.Y, "vertical": Axis.Z, "upright": Axis.Z}
"""Words for a direction, of a part's length or of the axis of a turn."""

CENTRED_BY_WORD = {axis.words: axis for axis in Axis}


class Workings:
    """The tables that the statements of a file are worked out against; ``here`` is the plan's line that uses it."""

    def __init__(self, tree: Tree, log: MistakeLog, unit: str, here: Statement | None = None) -> None:
        self.here = here
        self.source = tree.source
        self.log = log
        self.unit = unit
        self.to_say_millimetres = "Write `unit mm` in the plan"
        """What to do where a size makes sense only in millimetres; settings, which have no unit, say it otherwise."""
        self.statements = tree.statements
        self.scope = FileScope(unit, BrokenNames(tree.unread_names))
        self.parts: dict[str, Part] = {}
        self.spacings: list[tuple[str, SpacingSaid]] = []
        """Where parts lie by others that they do not touch, with the part's name."""
        self.twins: list[tuple[str, str, Axis]] = []
        """Parts whose joins are taken along by their mirror images, with these and the axis."""
        self._as_told: dict[tuple[str, Flips], Part] = {}
        self.said_parts: dict[str, PartSaid] = {}
        self.said_joins: dict[str, JoinSaid] = {}
        self.said_stocks: dict[str, StockSaid] = {}
        self.origin: dict[tuple[str, str], Workings] = {}
        """Where brought-in names come from, by what they are and the name."""
        self.instances: dict[str, Statement] = {}
        """Units placed so far, by their whole names."""
        self._read_lines: set[int] | None = None
        """Numbers of all lines that are in the tree; gathered when first needed."""

    # ------------------------------------------------------------ names

    def home_of(self, scope: Scope) -> FileScope:
        """The file whose names count at a place: that of its assembly, else the one that is worked out."""
        return scope.placed.assembly.home if scope.placed is not None else self.scope

    def find_stock(self, name: Name, scope: Scope) -> Stock:
        words = name_of(name, scope)
        home = self.home_of(scope)
        stock = self.scope.stocks.get(scope.prefix + words) or home.stocks.get(words)
        if stock is not None:
            return stock
        if scope.prefix + words in self.scope.dropped["stock"]:
            raise FollowOn
        raise _unknown("stock", words, name, home.stocks, home)

    def find_part(self, name: Name, scope: Scope) -> Part:
        pieces = name.pieces
        words = name_of(name, scope) if pieces else name.text
        prefix = scope.prefix
        part = self.parts.get(prefix + words if prefix else words)
        if part is not None:
            return self.as_told(part, scope.flips) if scope.flips else part
        raise self.unknown_part(words, name, scope, self.parts)

    def as_told(self, part: Part, flips: Flips) -> Part:
        """A part of a mirrored unit as its assembly tells it; the same object each time."""
        found = self._as_told.get((part.name, flips))
        if found is None:
            found = self._as_told[part.name, flips] = mirrored_part(part, flips)
        return found

    def unknown_part(self, words: str, name: Name, scope: Scope, known: Iterable[str]) -> Refusal:
        """What to say of a part that is not there; inside an assembly there are only its own."""
        prefix = scope.prefix
        if not prefix:
            first, _, turn = words.rpartition("_")
            if first and scope.outer is not None and turn in scope.values:
                return Refusal.at(
                    name, f"the number of a repeat stands in braces in a name: {first}_{{{turn}}}"
                )
            return _unknown("part", words, name, known, self.scope)
        if prefix + words in self.scope.dropped["part"]:
            return FollowOn()
        if words in known:
            says = f"{words} is no part of this assembly: parts around it are joined to it outside, by its unit's name"
            return Refusal.at(name, says)
        own = [each.removeprefix(prefix) for each in known if each.startswith(prefix)]
        return _unknown("part", words, name, own, self.home_of(scope))

    def named_twice(self, kind: str, words: str, first: Span, statement: Statement, scope: Scope) -> str:
        """That a name is taken, and where: on another line, or by an earlier turn of the same loop."""
        if isinstance(statement, Elsewhere) and first == statement.span:
            return f"{kind} {words} is already named there: give one of them another name"
        if first == statement.span and scope.outer is not None and scope.values:
            turn = next(iter(scope.values))
            return (
                f"each turn of the loop names a {kind} {words} again: number them, such as {words}_{{{turn}}}"
            )
        line = self.log.line_of(first)
        return f"{kind} {words} is already named on line {line}: give one of them another name"

    def mark_broken(self, kind: str, name: Name, scope: Scope) -> None:
        """Remembers a name whose statement is dropped; a template that cannot be filled by its first letters."""
        try:
            self.scope.dropped[kind].add(scope.prefix + name_of(name, scope))
        except Refusal:
            first = name.pieces[0]
            self.scope.dropped[kind].add(f"{scope.prefix}{first if isinstance(first, str) else ''}{{")

    def has_unread_details(self, statement: Statement) -> bool:
        """Whether lines indented under a statement could not be read: what it lacks may stand there."""
        if isinstance(statement, Elsewhere):
            return False
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
        self.log.add(span, says)


def _unknown(kind: str, words: str, name: Name, known: Iterable[str], home: FileScope) -> Refusal:
    """What to say of a name that nothing has; nothing, where its own statement is broken."""
    if words in home.dropped[kind] or words in home.unread:
        return FollowOn()
    offer = offered(home.offers.nearest(words, known), f"; write a `{kind} {words} of …` line for it")
    return Missing.at(name, f"there is no {kind} called {words}{offer}")


def side_of_word(word: Word) -> Side:
    """One of the six sides."""
    side = SIDE_BY_WORD.get(word.text)
    if side is None:
        offer = offered(nearest(word.text, SIDE_BY_WORD))
        raise Refusal.at(word, f"{word.text} is not a side: left, right, front, back, top or bottom{offer}")
    return side
