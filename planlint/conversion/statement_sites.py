"""Where each part and each join of a worked-out plan stands in its text: the statement, and the turns of its loops."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from planlint.conversion.length_words import Term, is_sum, number, plain
from planlint.language.syntax_tree import (
    AcceptLine,
    AssemblyLine,
    Expression,
    For,
    JoinLine,
    Let,
    LoadLine,
    Measure,
    Number,
    PartItem,
    PartLine,
    PlacingLine,
    RemovalItem,
    Statement,
    StockLine,
    TraditionItem,
    Tree,
)
from planlint.model.assemblies import tell_assemblies
from planlint.model.directions import Axis
from planlint.model.elaboration_state import Workings
from planlint.model.expressions import length_of, name_of, names_in, settle_lets
from planlint.model.mistake_log import Ledger
from planlint.model.plan import Join, Part, Plan
from planlint.model.scope import Scope
from planlint.model.unrolling import Unrolled, unroll
from planlint.model.use_statements import Loader, bring_in
from planlint.text.source import Span

Path = tuple[int | str, ...]
"""The unit of an assembly that a statement belongs to, then the turns of the loops round it; empty outside both."""


class Site(NamedTuple):
    """One part or join where it is written; ``place`` counts the names of a part line."""

    statement: Statement
    scope: Scope
    path: Path
    place: int = 0


class Sites:
    """The text behind a plan that was read without a mistake."""

    def __init__(self, tree: Tree, plan: Plan, load: Loader | None = None) -> None:
        self.tree = tree
        self.plan = plan
        self.unit = plan.unit
        self.text = tree.source.text
        workings = Workings(tree, Ledger(tree.source), plan.unit)
        self.root = workings.scope
        bring_in(workings, tree.statements, load)
        tell_assemblies(workings, tree.statements)
        lets = [(each, each.node) for each in tree.statements if isinstance(each.node, Let)]
        settle_lets(lets, self.root, workings.ledger)
        found = Unrolled()
        unroll(workings, tree.statements, self.root, found)
        self.parts: dict[str, Site] = {}
        for statement, line, scope in found.parts:
            for place, name in enumerate(line.names):
                self.parts[scope.prefix + name_of(name, scope)] = Site(statement, scope, _path(scope), place)
        self.joins = tuple(Site(statement, scope, _path(scope)) for statement, _, scope in found.joins)
        self.others: tuple[tuple[Site, LoadLine | AcceptLine], ...] = tuple(
            (Site(statement, scope, _path(scope)), node) for statement, node, scope in found.others
        )
        self._own = set(_ids(tree.statements))
        self.told: dict[tuple[int, Path], list[str]] = {}
        """The parts that one line tells in one turn of the loops round it."""
        for called, site in self.parts.items():
            self.told.setdefault((id(site.statement), site.path), []).append(called)
        self._paths: dict[int, dict[Path, None]] = {}
        for site in (*self.parts.values(), *self.joins, *(each for each, _ in self.others)):
            self._paths.setdefault(id(site.statement), {})[site.path] = None
        self.stocks: dict[str, tuple[Statement, StockLine, Scope]] = {
            scope.prefix + name_of(line.name, scope): (statement, line, scope)
            for statement, line, scope in found.stocks
        }

    def elsewhere(self, part: Part) -> bool:
        """Whether a part stands in another file, which this plan uses."""
        return id(self.parts[part.name].statement) not in self._own

    # ------------------------------------------------------------ nodes of a statement

    def join_line(self, join: Join) -> JoinLine:
        node = self.joins[join.index].statement.node
        assert isinstance(node, JoinLine)
        return node

    def part_line(self, part: Part | str) -> PartLine:
        node = self.parts[part if isinstance(part, str) else part.name].statement.node
        assert isinstance(node, PartLine)
        return node

    def items(self, part: Part) -> Iterable[tuple[Statement, int, PartItem, Span]]:
        """The details of a part: the line each stands on, its number on that line, the detail, and its place."""
        statement = self.parts[part.name].statement
        for line in (statement, *statement.details):
            for count, (item, start, end) in enumerate(getattr(line.node, "items", ())):
                yield line, count, item, line.at(start, end)

    def removals(self, part: Part) -> list[tuple[Statement, int, RemovalItem, Span]]:
        """The rabbets, grooves, dados and notches as written, in the order of ``part.removals``."""
        return [each for each in self.items(part) if isinstance(each[2], RemovalItem)]  # type: ignore[misc]

    def tradition(self, join: Join) -> tuple[Statement, TraditionItem] | None:
        """The traditional joint as written, and the line it stands on."""
        statement = self.joins[join.index].statement
        line = self.join_line(join)
        if line.tradition is not None:
            return statement, line.tradition
        for details in statement.details:
            if isinstance(details.node, TraditionItem):
                return details, details.node
        return None

    def placings(self, join: Join) -> list[tuple[Statement, PlacingLine, int]]:
        """For each of ``join.placings`` its line, and which of the line's sides it is."""
        found = []
        for details in self.joins[join.index].statement.details:
            if isinstance(details.node, PlacingLine):
                found += [(details, details.node, each) for each in range(max(1, len(details.node.sides)))]
        return found

    # ------------------------------------------------------------ lengths with their words

    def words(self, statement: Statement, expression: Expression) -> str:
        return self.text[slice(*statement.at(expression.start, expression.end))]

    def term(self, statement: Statement, expression: Expression, scope: Scope) -> Term:
        """A length with the words it has where it stands."""
        value = length_of(expression, scope)
        if isinstance(expression, Number):
            # A number with a unit of its own is told in the plan's: sums then read in one unit.
            return Term(value, number(value, self.unit))
        return Term(value, self.words(statement, expression), bool(names_in(expression)), is_sum(expression))

    def anywhere(self, statement: Statement, expression: Expression, scope: Scope) -> Term:
        """The same where other statements may use it: a loop's own names are worked out."""
        term = self.term(statement, expression, scope)
        if all(scope.find(name.text) is self.root.values.get(name.text) for name in names_in(expression)):
            return term
        return plain(term.value, self.unit)

    def size(self, part: Part, axis: Axis) -> Term:
        """A part's reach along an axis: by its own line, else by its stock's, else as a number."""
        word = self.size_word(part, axis)
        for line, _, item, _ in self.items(part):
            if isinstance(item, Measure) and item.word.text == word:
                return self.anywhere(line, item.value, self.parts[part.name].scope)
        statement, stock, scope = self.stocks[part.stock.name]
        expression = {"wide": stock.width, "thick": stock.thickness}.get(word)
        if expression is not None and not (stock.sheet and word == "wide"):
            return self.anywhere(statement, expression, scope)
        return plain(part.size[axis], self.unit)

    @staticmethod
    def size_word(part: Part, axis: Axis) -> str:
        if axis is part.grain:
            return "long"
        return "wide" if axis is part.across else "thick"

    # ------------------------------------------------------------ loops

    def turns(self, block: Statement, before: Path) -> list[int | str]:
        """The turns of a loop, or the units of an assembly, that hold anything, within what stands round it."""
        depth = len(before)
        found = {
            path[depth]
            for inner in _ids(block.details)
            for path in self._paths.get(inner, ())
            if path[:depth] == before
        }
        return sorted(found, key=lambda turn: (isinstance(turn, str), turn))


def _ids(statements: Iterable[Statement]) -> Iterable[int]:
    for each in statements:
        yield id(each)
        if isinstance(each.node, For | AssemblyLine):
            yield from _ids(each.details)


def _path(scope: Scope) -> Path:
    turns: list[int | str] = []
    at: Scope | None = scope
    while at is not None and at.outer is not None:
        if at.placed is not None and at.outer.placed is not at.placed:
            turns.append(at.placed.name)
            break
        turns.append(int(next(iter(at.values.values())).number))
        at = at.outer
    return tuple(reversed(turns))
